/**
 * The pool of plain models: every exponent and surrounding on a grid, each fitted on several windows of the
 * curve, weighed by fit and prior. What the fits leave open is one log-normal spread of the rate.
 */
import type { ChillCurve } from './chill-curve.ts';
import { type CoolingLaw, exponents, referenceK, straightened } from './cooling-law.ts';
import type { CoolingWay } from './place-prior.ts';

/** One model of the pool after the fit: its law, its share of belief, and the log spread of its rate. */
export type PoolMember = { law: CoolingLaw; weight: number; logSd: number; window: number };

const exponentShares = [0.25, 0.27, 0.28, 0.2] as const;
const aroundGridC = [
  -28, -24, -21, -18, -15.5, -13, -10.5, -8, -6, -4, -2.5, -1.2, 0, 1, 2, 3, 4, 5, 6.2, 7.5, 9, 11, 13, 15.5,
  18, 21, 25, 30,
] as const;
/** Parts of the time since the drop began that are fitted, latest last. */
const windowShares = [1, 0.6, 0.35] as const;
const windowPointsMin = 4;
/** Model error at a point, °C, and the minutes over which it stays the same: many readings, few facts. */
const modelErrorC = 0.12;
const modelErrorMin = 3;
/** Log spread of the rate to come beyond what the fit leaves open. */
const rateDriftLogSd = 0.1;
/** A member must be this far above its surroundings everywhere, K. */
const leastOverK = 0.4;

/** Fits the pool; the weights add up to 1. Returns no members where nothing fits (milk that warms). */
export function fitPool(curve: ChillCurve, ways: readonly CoolingWay[]): PoolMember[] {
  const starts = windowStarts(curve);
  const members: PoolMember[] = [];
  for (const [place, aroundC] of aroundGridC.entries()) {
    const span = gridSpan(place);
    for (const [order, n] of exponents.entries()) {
      const fits = fitWindows(curve, starts, aroundC, n);
      for (const [window, fit] of fits.entries()) {
        if (fit === null) continue;
        const member = weigh(fit, { aroundC, span, order, n }, ways);
        if (member !== null) members.push({ ...member, window });
      }
    }
  }
  return balanced(members, starts.length);
}

function windowStarts(curve: ChillCurve): number[] {
  const dropFrom = Math.min(curve.dropFrom, curve.lastMin - 1.5);
  const starts: number[] = [];
  for (const share of windowShares) {
    const fromMin = curve.lastMin - share * (curve.lastMin - dropFrom);
    let start = curve.points.findIndex(({ tMin }) => tMin >= fromMin - 1e-9);
    if (start < 0) start = curve.points.length;
    start = Math.min(start, curve.points.length - windowPointsMin);
    starts.push(Math.max(0, start));
  }
  return starts;
}

type WindowFit = { logPerMin: number; logSd: number; misfit: number };

/** Weighted straight lines through the straightened curve, for all windows in one pass from the end. */
function fitWindows(
  curve: ChillCurve,
  starts: readonly number[],
  aroundC: number,
  n: number,
): (WindowFit | null)[] {
  const { points, noiseC } = curve;
  const fits: (WindowFit | null)[] = starts.map(() => null);
  let w = 0;
  let wt = 0;
  let wz = 0;
  let wtt = 0;
  let wtz = 0;
  let wzz = 0;
  for (let place = points.length - 1; place >= 0; place--) {
    const { tMin, tempC } = points[place] as { tMin: number; tempC: number };
    const overK = tempC - aroundC;
    if (overK < leastOverK) return fits;
    const z = straightened(overK, n);
    const slopeC = n < 1.001 ? overK : overK ** n / (n - 1);
    const next = points[place + 1] ?? points[place - 1];
    const spacing = Math.max(0.25, Math.abs((next?.tMin ?? tMin + 1) - tMin));
    const variance = noiseC ** 2 + modelErrorC ** 2 * Math.max(1, (2 * modelErrorMin) / spacing);
    const weight = slopeC ** 2 / variance;
    const t = tMin - curve.lastMin;
    w += weight;
    wt += weight * t;
    wz += weight * z;
    wtt += weight * t * t;
    wtz += weight * t * z;
    wzz += weight * z * z;
    for (const [window, start] of starts.entries()) {
      if (start === place) fits[window] = lineFit({ w, wt, wz, wtt, wtz, wzz }, n);
    }
  }
  return fits;
}

type Moments = { w: number; wt: number; wz: number; wtt: number; wtz: number; wzz: number };

function lineFit({ w, wt, wz, wtt, wtz, wzz }: Moments, n: number): WindowFit | null {
  const tt = wtt - (wt * wt) / w;
  const tz = wtz - (wt * wz) / w;
  const zz = wzz - (wz * wz) / w;
  if (!(tt > 0)) return null;
  const slope = tz / tt;
  const misfit = Math.max(0, zz - slope * tz);
  const toPerMin = n < 1.001 ? -1 : referenceK ** (n - 1) / (n - 1);
  const perMin = slope * toPerMin;
  const sd = Math.abs(toPerMin) / Math.sqrt(tt);
  const used = Math.max(perMin, 0.5 * sd, 1e-5);
  return { logPerMin: Math.log(used), logSd: Math.min(2, sd / used), misfit };
}

type GridCell = { aroundC: number; span: number; order: number; n: number };

function weigh(
  fit: WindowFit,
  cell: GridCell,
  ways: readonly CoolingWay[],
): Omit<PoolMember, 'window'> | null {
  let belief = 0;
  let logMean = 0;
  let logVariance = 0;
  for (const way of ways) {
    const variance = way.logPerMinSd ** 2 + fit.logSd ** 2;
    const away = fit.logPerMin - way.logPerMin;
    const part =
      way.share *
      ((way.exponentShares ?? exponentShares)[cell.order] ?? 0) *
      cell.span *
      heavyTail((cell.aroundC - way.aroundC) / way.aroundSdC, way.aroundSdC) *
      Math.exp((-0.5 * away * away) / variance) *
      (fit.logSd / Math.sqrt(variance));
    const gain = fit.logSd ** 2 / variance;
    belief += part;
    logMean += part * (fit.logPerMin - gain * away);
    logVariance += part * (1 - gain) * fit.logSd ** 2;
  }
  if (!(belief > 0)) return null;
  const logWeight = Math.log(belief) - 0.5 * fit.misfit;
  return {
    law: { aroundC: cell.aroundC, n: cell.n, perMin: Math.exp(logMean / belief) },
    weight: logWeight,
    logSd: Math.hypot(Math.sqrt(logVariance / belief), rateDriftLogSd),
  };
}

/** Student's t with 4 degrees of freedom: places are sometimes far from what is usual. */
function heavyTail(z: number, sd: number): number {
  return (0.375 * (1 + (z * z) / 4) ** -2.5) / sd;
}

/** From log weights to shares of belief: each window counts the same, small members are left out. */
function balanced(members: readonly PoolMember[], windows: number): PoolMember[] {
  const kept: PoolMember[] = [];
  for (let window = 0; window < windows; window++) {
    const own = members.filter((member) => member.window === window);
    const most = Math.max(...own.map(({ weight }) => weight));
    const near = own.filter(({ weight }) => weight > most - 8);
    const total = near.reduce((sum, { weight }) => sum + Math.exp(weight - most), 0);
    for (const member of near) kept.push({ ...member, weight: Math.exp(member.weight - most) / total });
  }
  const all = kept.reduce((sum, { weight }) => sum + weight, 0);
  return kept.map((member) => ({ ...member, weight: member.weight / all }));
}

function gridSpan(place: number): number {
  const before = aroundGridC[Math.max(0, place - 1)] as number;
  const after = aroundGridC[Math.min(aroundGridC.length - 1, place + 1)] as number;
  return (after - before) / 2;
}
