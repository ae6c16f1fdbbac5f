/** From points of a trace to the curve that is fitted: outliers out, few points, where the drop begins. */
import type { TracePoint } from './chill-trace.ts';

/** A chill's curve, ready to fit; times in minutes after `sinceMs`. */
export type ChillCurve = {
  points: TracePoint[];
  /** Where the milk's own drop begins, past bench and probe lag. */
  dropFrom: number;
  /** The last instant of data and the milk's smoothed temperature there, ahead of a probe that lags. */
  lastMin: number;
  nowC: number;
  /** °C a minute over the last minutes; negative while cooling. */
  rateCPerMin: number;
  /** Standard deviation of one point around a smooth curve, °C. */
  noiseC: number;
};

/** Points fitted at most; finer ones are averaged. */
export const curvePointsMax = 56;
const leastPoints = 4;
const leastSpanMin = 2;

/**
 * Returns the curve of the readings up to `lastMin`, or null while there are under 4 points or 2 minutes of
 * them.
 */
export function chillCurve(raw: readonly TracePoint[], lastMin: number): ChillCurve | null {
  const clean = withoutOutliers(raw);
  const points = thinned(clean);
  const last = points[points.length - 1];
  const first = points[0];
  if (last === undefined || first === undefined) return null;
  if (points.length < leastPoints || last.tMin - first.tMin < leastSpanMin) return null;
  const noiseC = noiseOf(points);
  const end = localLine(points, lastMin, 4);
  const nowC = end.atC + Math.min(0, end.slope) * probeLagMin(clean);
  return { points, dropFrom: dropStart(points), lastMin, nowC, rateCPerMin: end.slope, noiseC };
}

/** A probe's usual lag, minutes, where the curve does not show it. */
const usualLagMin = 0.2;
const lagMostMin = 1.2;
/** The rise into warm milk shows the lag in this time, minutes, if it is so high, °C. */
const riseWithinMin = 6;
const riseLeastC = 4;
/** The milk cools meanwhile, so that the top is met low and early: the area comes out a fifth too small. */
const topLost = 1.25;

/**
 * How far the probe is behind the milk, minutes: the area over its rise into warm milk by the height of the
 * rise, which is the time constant of a first-order lag wherever on the rise the readings begin.
 */
function probeLagMin(points: readonly TracePoint[]): number {
  const first = points[0] as TracePoint;
  const early = points.filter(({ tMin }) => tMin <= first.tMin + riseWithinMin);
  const top = early.reduce((most, point) => (point.tempC > most.tempC ? point : most), first);
  const rise = top.tempC - first.tempC;
  if (rise < riseLeastC) return usualLagMin;
  let area = 0;
  for (let place = 1; place < early.length; place++) {
    const before = early[place - 1] as TracePoint;
    const here = early[place] as TracePoint;
    if (here.tMin > top.tMin) break;
    area += (top.tempC - (before.tempC + here.tempC) / 2) * (here.tMin - before.tMin);
  }
  return Math.min(lagMostMin, (topLost * area) / rise);
}

/** Leaves out points that stand apart from both neighbours' middle while these agree. */
function withoutOutliers(raw: readonly TracePoint[]): TracePoint[] {
  return raw.filter((point, place) => {
    const near: number[] = [];
    for (let other = Math.max(0, place - 2); other <= Math.min(raw.length - 1, place + 2); other++) {
      if (other !== place) near.push((raw[other] as TracePoint).tempC);
    }
    if (near.length < 3) return true;
    near.sort((a, b) => a - b);
    const middle = median(near);
    const spread = (near[near.length - 1] as number) - (near[0] as number);
    return Math.abs(point.tempC - middle) <= 1 + 1.5 * spread;
  });
}

function thinned(points: readonly TracePoint[]): TracePoint[] {
  const first = points[0];
  const last = points[points.length - 1];
  if (first === undefined || last === undefined) return [];
  const stepMin = Math.max(0.5, (last.tMin - first.tMin) / (curvePointsMax - 1));
  const merged: TracePoint[] = [];
  let slot = Number.NEGATIVE_INFINITY;
  for (const { tMin, tempC, count } of points) {
    const own = Math.floor((tMin - first.tMin) / stepMin);
    const into = merged[merged.length - 1];
    if (into === undefined || own !== slot) {
      merged.push({ tMin, tempC, count });
      slot = own;
      continue;
    }
    const total = into.count + count;
    into.tMin = (into.tMin * into.count + tMin * count) / total;
    into.tempC = (into.tempC * into.count + tempC * count) / total;
    into.count = total;
  }
  return merged;
}

/** A straight line through the points of the last `spanMin` before `atMin`, at least the last three. */
export function localLine(
  points: readonly TracePoint[],
  atMin: number,
  spanMin: number,
): { atC: number; slope: number } {
  let from = points.length - 1;
  while (from > 0 && (points.length - from < 3 || (points[from - 1] as TracePoint).tMin >= atMin - spanMin)) {
    from--;
  }
  let weight = 0;
  let sumT = 0;
  let sumC = 0;
  for (const { tMin, tempC } of points.slice(from)) {
    weight += 1;
    sumT += tMin;
    sumC += tempC;
  }
  const meanT = sumT / weight;
  const meanC = sumC / weight;
  let over = 0;
  let under = 0;
  for (const { tMin, tempC } of points.slice(from)) {
    over += (tMin - meanT) * (tempC - meanC);
    under += (tMin - meanT) ** 2;
  }
  const slope = under > 0 ? over / under : 0;
  return { atC: meanC + slope * (atMin - meanT), slope };
}

function noiseOf(points: readonly TracePoint[]): number {
  const bends: number[] = [];
  for (let place = 1; place + 1 < points.length; place++) {
    const before = points[place - 1] as TracePoint;
    const here = points[place] as TracePoint;
    const after = points[place + 1] as TracePoint;
    const share = (here.tMin - before.tMin) / (after.tMin - before.tMin);
    bends.push(Math.abs(here.tempC - (before.tempC + share * (after.tempC - before.tempC))));
  }
  if (bends.length === 0) return 0.2;
  bends.sort((a, b) => a - b);
  return Math.min(1, Math.max(0.02, (median(bends) * 1.48) / 1.22));
}

/**
 * Where the steepest fall begins: the first moment from which the smoothed fall reaches 70 % of its
 * greatest, plus half a minute for the probe. Bench time and the probe's own lag lie before it.
 */
function dropStart(points: readonly TracePoint[]): number {
  const first = (points[0] as TracePoint).tMin;
  const falls: { tMin: number; fall: number }[] = [];
  for (let from = 0; from < points.length; from++) {
    const start = points[from] as TracePoint;
    let to = from;
    while (to + 1 < points.length && (points[to] as TracePoint).tMin < start.tMin + 2) to++;
    const end = points[to] as TracePoint;
    if (end.tMin - start.tMin < 1) break;
    falls.push({ tMin: start.tMin, fall: (start.tempC - end.tempC) / (end.tMin - start.tMin) });
  }
  const greatest = Math.max(...falls.map(({ fall }) => fall), 0);
  if (greatest < 0.05) return first;
  const found = falls.find(({ fall }) => fall >= 0.7 * greatest);
  return (found?.tMin ?? first) + 0.5;
}

function median(sorted: readonly number[]): number {
  const half = sorted.length >> 1;
  const upper = sorted[half] as number;
  return sorted.length % 2 === 1 ? upper : (upper + (sorted[half - 1] as number)) / 2;
}
