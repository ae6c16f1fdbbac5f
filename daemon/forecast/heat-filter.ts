/**
 * One guess of what a pot is like, followed by an extended Kalman filter (Kalman 1960). Its state is
 * [milk °C, heat flow into the milk, heat given by the burner, log of wall loss, log of vapour loss, log of lag],
 * rates in °C a minute; the flow comes after the burner by the lag, the minutes that pan and coil (and the probe's
 * own tube) store heat for.
 */
import { type HeatLaw, lossAt } from './heat-law.ts';

export const filterSize = 6;
const [temp, flow, burner, wall, vapour, lag] = [0, 1, 2, 3, 4, 5] as const;

/** Plain JSON: the state, its covariance by rows, and how well this guess has foretold, as a log-likelihood. */
export type HeatFilter = {
  lid: boolean;
  /** The instant at which this guess has its burner turned last; null where never. */
  turnedMs: number | null;
  state: number[];
  cov: number[];
  logLike: number;
};

/** What a guess begins with. Spreads are standard deviations. */
export type HeatPrior = {
  lid: boolean;
  logLag: readonly [number, number];
  logWall: readonly [number, number];
  logVapour: readonly [number, number];
  logLike: number;
};

/** How the hidden rates wander in a minute: the burner by a share of itself, the losses by a share of theirs. */
export const wander = {
  burnerShare: 0.0055,
  burnerLeast: 0.002,
  flow: 0.004,
  wall: 0.013,
  vapour: 0.05,
  lag: 0.01,
} as const;
/** What is not known of a burner before it has shown itself, °C a minute. */
const burnerPrior = { mean: 1.5, sd: 2, flowMean: 0.8, flowSd: 1.2 } as const;

export function openHeatFilter(prior: HeatPrior, tempC: number): HeatFilter {
  const { lid, logLag, logWall, logVapour, logLike } = prior;
  const cov = new Array<number>(filterSize * filterSize).fill(0);
  const sds = [0.15, burnerPrior.flowSd, burnerPrior.sd, logWall[1], logVapour[1], logLag[1]];
  for (const [place, sd] of sds.entries()) cov[place * filterSize + place] = sd * sd;
  const state = [tempC, burnerPrior.flowMean, burnerPrior.mean, logWall[0], logVapour[0], logLag[0]];
  return { lid, turnedMs: null, state, cov, logLike };
}

/** Takes over `filter` and moves it on by `spanMin`, in steps short against its lag. */
export function predictHeat(filter: HeatFilter, law: HeatLaw, spanMin: number): void {
  const steps = Math.max(1, Math.min(8, Math.ceil(spanMin / 0.5)));
  for (let step = 0; step < steps; step++) predictOnce(filter, law, spanMin / steps);
}

function predictOnce({ state, cov }: HeatFilter, law: HeatLaw, dt: number): void {
  const lagMin = lagOf(state);
  const tempC = state[temp] as number;
  const wallLoss = Math.exp(state[wall] as number) * lossAt(law, law.wall, tempC);
  const vapourLoss = Math.exp(state[vapour] as number) * lossAt(law, law.vapour, tempC);
  // How losses change with the milk, by a difference over 1 K.
  const slope =
    Math.exp(state[wall] as number) *
      (lossAt(law, law.wall, tempC + 0.5) - lossAt(law, law.wall, tempC - 0.5)) +
    Math.exp(state[vapour] as number) *
      (lossAt(law, law.vapour, tempC + 0.5) - lossAt(law, law.vapour, tempC - 0.5));
  const keeps = Math.exp(-dt / lagMin);
  const mixed = 1 - keeps;
  // The mean flow over the step, of what flowed and of what the burner gives.
  const ofFlow = (lagMin / dt) * mixed;
  const nowFlow = state[flow] as number;
  const nowBurner = state[burner] as number;
  state[temp] = Math.min(
    law.boilsC + 3,
    tempC + dt * (ofFlow * nowFlow + (1 - ofFlow) * nowBurner - wallLoss - vapourLoss),
  );
  state[flow] = keeps * nowFlow + mixed * nowBurner;
  // Rows of the transition that are not the identity.
  const t0 = 1 - dt * slope;
  const t1 = dt * ofFlow;
  const t2 = dt * (1 - ofFlow);
  const t3 = -dt * wallLoss;
  const t4 = -dt * vapourLoss;
  const t5 = dt * (nowFlow - nowBurner) * (ofFlow - keeps);
  const flow5 = ((nowFlow - nowBurner) * keeps * dt) / lagMin;
  const c = cov;
  for (let col = 0; col < filterSize; col++) {
    const at0 = c[col] as number;
    const at1 = c[filterSize + col] as number;
    const at2 = c[2 * filterSize + col] as number;
    const at3 = c[3 * filterSize + col] as number;
    const at4 = c[4 * filterSize + col] as number;
    const at5 = c[5 * filterSize + col] as number;
    c[col] = t0 * at0 + t1 * at1 + t2 * at2 + t3 * at3 + t4 * at4 + t5 * at5;
    c[filterSize + col] = keeps * at1 + mixed * at2 + flow5 * at5;
  }
  for (let row = 0; row < filterSize; row++) {
    const base = row * filterSize;
    const at0 = c[base] as number;
    const at1 = c[base + 1] as number;
    const at2 = c[base + 2] as number;
    const at3 = c[base + 3] as number;
    const at4 = c[base + 4] as number;
    const at5 = c[base + 5] as number;
    c[base] = t0 * at0 + t1 * at1 + t2 * at2 + t3 * at3 + t4 * at4 + t5 * at5;
    c[base + 1] = keeps * at1 + mixed * at2 + flow5 * at5;
  }
  const burnerSd = wander.burnerLeast + wander.burnerShare * Math.abs(nowBurner);
  const add = (place: number, sd: number) => {
    const at = place * filterSize + place;
    c[at] = (c[at] as number) + sd * sd * dt;
  };
  add(temp, 0.01);
  add(flow, wander.flow);
  add(burner, burnerSd);
  add(wall, wander.wall);
  add(vapour, wander.vapour);
  add(lag, wander.lag);
}

/** The lag of a state, minutes; what no pan, coil or probe can have is bounded. */
export function lagOf(state: readonly number[]): number {
  return Math.min(lagRangeMin.most, Math.max(lagRangeMin.least, Math.exp(state[lag] as number)));
}

const lagRangeMin = { least: 0.1, most: 6 } as const;

/**
 * Takes over `filter` and lets it see a temperature with a standard deviation `noiseC`. Returns how far that
 * was from what it expected, in standard deviations; beyond four it counts less, so that a jump does not turn
 * the rates.
 */
export function seeHeat(filter: HeatFilter, seenC: number, noiseC: number): number {
  const { state, cov } = filter;
  const missC = seenC - (state[temp] as number);
  const own = (cov[0] as number) + noiseC * noiseC;
  const off = missC / Math.sqrt(own);
  const counted = Math.abs(off) > 4 ? own * (Math.abs(off) / 4) ** 2 : own;
  filter.logLike -= 0.5 * Math.min(12, off * off) + 0.5 * Math.log(own);
  const gains: number[] = [];
  for (let row = 0; row < filterSize; row++) gains.push((cov[row * filterSize] as number) / counted);
  const seen = cov.slice(0, filterSize);
  for (let row = 0; row < filterSize; row++) {
    const gain = gains[row] as number;
    state[row] = (state[row] as number) + gain * missC;
    for (let col = 0; col < filterSize; col++) {
      const at = row * filterSize + col;
      cov[at] = (cov[at] as number) - gain * (seen[col] as number);
    }
  }
  return off;
}

/** A copy whose burner was turned at `atMs`: what it gives is forgotten, what the pot loses is remembered. */
export function turnedBurner(filter: HeatFilter, atMs: number): HeatFilter {
  const turned = { ...filter, turnedMs: atMs, state: [...filter.state], cov: [...filter.cov] };
  const nowBurner = Math.abs(filter.state[burner] as number);
  const grow = (place: number, sd: number) => {
    const at = place * filterSize + place;
    turned.cov[at] = (turned.cov[at] as number) + sd * sd;
  };
  grow(burner, 0.3 + 0.6 * nowBurner);
  // It was turned a little before it was noticed, and often with a lid put on or taken off.
  grow(flow, 0.1 + 0.25 * nowBurner);
  grow(vapour, 0.3);
  return turned;
}

/** Takes over `filter` and forgets where the milk was: it was stirred, or cold milk came to it. */
export function forgetTemp(filter: HeatFilter, sdC: number): void {
  filter.cov[0] = (filter.cov[0] as number) + sdC * sdC;
}

export const heatPlaces = { temp, flow, burner, wall, vapour, lag } as const;
