/** Equally likely pots drawn from a bank: where each is now, and what it would do. */
import { normalQuantile } from './crossing.ts';
import { type HeatBank, heatWeights, lawOf } from './heat-bank.ts';
import { filterSize, heatPlaces, lagOf } from './heat-filter.ts';
import { type HeatLaw, type HeatRates, heatOn } from './heat-law.ts';

/** One pot that may be: its temperature in °C and its rates in °C a minute. */
export type HeatDraw = HeatRates & { tempC: number; lid: boolean };

/** Draws that stand for a bank. */
export const heatDraws = 48;
/** How far a burner and a pot that nobody touches still stray from what was learned, as a share. */
const strays = 0.018;
/** Steps of a run, minutes: fine at first, where pan and coil still catch up. */
const firstStepMin = 0.1;
const stepMinMax = 1;

/** Draws pots from the guesses of a bank, evenly by weight; the same bank and seed give the same pots. */
export function drawHeat(bank: HeatBank, seed: string): HeatDraw[] {
  const weights = heatWeights(bank);
  const draws: HeatDraw[] = [];
  let place = 0;
  let reached = weights[0] ?? 0;
  const turn = turnOf(seed);
  let root = rootOf(bank, place);
  for (let draw = 0; draw < heatDraws; draw++) {
    const before = place;
    while (reached < (draw + 0.5) / heatDraws && place + 1 < weights.length) {
      place++;
      reached += weights[place] as number;
    }
    if (place !== before) root = rootOf(bank, place);
    draws.push(drawOne(bank, { place, draw, root, turn }));
  }
  return draws;
}

type Drawing = { place: number; draw: number; root: number[]; turn: number };

function drawOne(bank: HeatBank, { place, draw, root, turn }: Drawing): HeatDraw {
  const { state, lid } = bank.filters[place] as HeatBank['filters'][number];
  const z = primes.map((prime, at) => normalQuantile(shareOf(draw + 1, prime, turn * (at + 1))));
  const drawn: number[] = [];
  for (let row = 0; row < filterSize; row++) {
    let value = state[row] as number;
    for (let col = 0; col <= row; col++)
      value += (root[row * filterSize + col] as number) * (z[col] as number);
    drawn.push(value);
  }
  const at = (name: keyof typeof heatPlaces) => drawn[heatPlaces[name]] as number;
  const stray = 1 + strays * (z[filterSize] as number);
  return {
    tempC: at('temp'),
    flow: at('flow'),
    burner: Math.max(0, at('burner')) * stray,
    wall: Math.exp(Math.min(3, at('wall'))),
    vapour: Math.exp(Math.min(4, at('vapour'))),
    lagMin: lagOf(drawn),
    lid,
  };
}

/** Bases of Halton's sequence (1960), one for each number of a pot. */
const primes = [2, 3, 5, 7, 11, 13, 17] as const;

function shareOf(count: number, prime: number, turn: number): number {
  let share = 0;
  let digit = 1 / prime;
  for (let rest = count; rest > 0; rest = Math.floor(rest / prime)) {
    share += (rest % prime) * digit;
    digit /= prime;
  }
  const turned = (share + turn) % 1;
  return Math.min(1 - 1e-4, Math.max(1e-4, turned));
}

/** A watch's own place in the sequence, from 0 to 1: FNV-1a of its seed. */
function turnOf(seed: string): number {
  let hash = 0x811c9dc5;
  for (let place = 0; place < seed.length; place++) {
    hash = Math.imul(hash ^ seed.charCodeAt(place), 0x01000193) >>> 0;
  }
  return hash / 2 ** 32;
}

/** The lower triangular root of a guess's covariance (Cholesky), with what rounding took put back. */
function rootOf(bank: HeatBank, place: number): number[] {
  const { cov } = bank.filters[place] as HeatBank['filters'][number];
  const root = new Array<number>(filterSize * filterSize).fill(0);
  for (let row = 0; row < filterSize; row++) {
    for (let col = 0; col <= row; col++) {
      let sum = cov[row * filterSize + col] as number;
      for (let k = 0; k < col; k++) {
        sum -= (root[row * filterSize + k] as number) * (root[col * filterSize + k] as number);
      }
      const own = root[col * filterSize + col] as number;
      root[row * filterSize + col] = row === col ? Math.sqrt(Math.max(0, sum)) : own > 1e-9 ? sum / own : 0;
    }
  }
  return root;
}

/**
 * Runs a pot for up to `spanMin`. Returns the minute at which it gets to each of the rising `levelsC`
 * (Infinity where it does not) and, where asked, its temperature at each of the rising `atMin`.
 */
export function runHeat(
  law: HeatLaw,
  draw: HeatDraw,
  run: { spanMin: number; levelsC: readonly number[]; atMin?: readonly number[] },
): { reachedMin: number[]; tempsC: number[]; mostC: number } {
  const at = { tempC: draw.tempC, flow: draw.flow };
  const reachedMin: number[] = [];
  const tempsC: number[] = [];
  const wantedMin = run.atMin ?? [];
  let nowMin = 0;
  let mostC = at.tempC;
  while (reachedMin.length < run.levelsC.length && at.tempC >= (run.levelsC[reachedMin.length] as number)) {
    reachedMin.push(0);
  }
  while (nowMin < run.spanMin) {
    const done = reachedMin.length >= run.levelsC.length && tempsC.length >= wantedMin.length;
    if (done) break;
    const step = Math.min(stepMinMax, Math.max(firstStepMin, nowMin * 0.08), run.spanMin - nowMin + 1e-9);
    const beforeC = at.tempC;
    heatOn(law, draw, at, step);
    while (reachedMin.length < run.levelsC.length && at.tempC >= (run.levelsC[reachedMin.length] as number)) {
      const level = run.levelsC[reachedMin.length] as number;
      reachedMin.push(nowMin + (step * (level - beforeC)) / Math.max(1e-9, at.tempC - beforeC));
    }
    while (tempsC.length < wantedMin.length && (wantedMin[tempsC.length] as number) <= nowMin + step) {
      const share = ((wantedMin[tempsC.length] as number) - nowMin) / step;
      tempsC.push(beforeC + (at.tempC - beforeC) * share);
    }
    nowMin += step;
    mostC = Math.max(mostC, at.tempC);
    // What neither rises nor gets more heat stays short of every level.
    const flat = Math.abs(at.tempC - beforeC) < 1e-4 * step && Math.abs(at.flow - draw.burner) < 1e-3;
    if (flat && tempsC.length >= wantedMin.length) break;
  }
  while (reachedMin.length < run.levelsC.length) reachedMin.push(Number.POSITIVE_INFINITY);
  while (tempsC.length < wantedMin.length) tempsC.push(at.tempC);
  return { reachedMin, tempsC, mostC };
}

/** The highest a pot gets once its burner is off, °C: what pan and coil still give, less what it loses. */
export function coastC(law: HeatLaw, draw: HeatDraw, afterMin: number): number {
  const at = { tempC: draw.tempC, flow: draw.flow };
  if (afterMin > 0) heatOn(law, draw, at, afterMin);
  const off = { ...draw, burner: 0 };
  const step = Math.max(0.05, draw.lagMin / 6);
  let mostC = at.tempC;
  for (let count = 0; count < 40; count++) {
    heatOn(law, off, at, step);
    if (at.tempC < mostC) break;
    mostC = at.tempC;
  }
  return mostC;
}

export { lawOf };
