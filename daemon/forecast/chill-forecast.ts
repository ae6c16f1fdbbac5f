/** The chill forecast: from a trace and a question to chance, crossing and path. */
import type { Assumed, InstantQuantiles, PathPoint, TempQuantiles } from '../../shared/contract/forecast.ts';
import { milkFreezesC } from '../../shared/dairy/milk-freezing.ts';
import { type ChillCurve, chillCurve } from './chill-curve.ts';
import { type ChillTrace, lastReadingMs, type TracePoint, tracePoints } from './chill-trace.ts';
import type { CoolingLaw } from './cooling-law.ts';
import { chanceWithin, drawLaws, quantile, sortedMinutesTo, sortedTemps } from './crossing.ts';
import { fitPool, type PoolMember } from './model-pool.ts';
import { coolingWays, type Told } from './place-prior.ts';

export { type ChillTrace, feedChill, openChillTrace } from './chill-trace.ts';

/** What is asked of a chill: under `limitC` (surely: less `marginC`) by `deadlineMs`, in since `sinceMs`. */
export type ChillQuestion = {
  limitC: number;
  marginC: number;
  deadlineMs: number;
  sinceMs: number;
  told: Told;
};

/** Where a chill is going, as seen from its readings up to `dataToMs`. */
export type ChillOutlook = {
  dataToMs: number;
  /** That the milk is at or under limit less margin by the deadline. */
  chance: number;
  /** At the limit as typed; null is never within 12 h. */
  crossing: InstantQuantiles;
  /** Null once the deadline has passed. */
  atDeadline: TempQuantiles | null;
  /** At most 120 points from `dataToMs` on, never below the freezing point of milk. */
  path: PathPoint[];
  assumed: Assumed;
  /** When the milk gets to its freezing point; null is never within 12 h. */
  freezing: InstantQuantiles;
  /** The freezing point that was taken, °C. */
  freezesC: number;
  /** Negative while it cools; null while unknown. */
  rateCPerMin: number | null;
};

/** Beyond this much time a crossing is called never. */
export const foreseeableMs = 12 * 3_600_000;
const pathSteps = 48;

/** Answers the question from readings at or before `atMs`; null while there are too few since `sinceMs`. */
export function forecastChill(trace: ChillTrace, question: ChillQuestion, atMs: number): ChillOutlook | null {
  const { sinceMs } = question;
  const dataToMs = lastReadingMs(trace, atMs);
  if (dataToMs === null || dataToMs < sinceMs) return null;
  const raw = tracePoints(trace, { fromMs: sinceMs, toMs: atMs, sinceMs });
  const curve = chillCurve(raw);
  if (curve === null) return null;
  const measuredC = measuredAround(trace, question, atMs);
  const told = { ...question.told, aroundC: measuredC ?? question.told.aroundC };
  const pool = fitPool(curve, coolingWays(told));
  const laws = drawLaws(pool);
  const outlook = {
    dataToMs,
    path: pathOf(laws, curve, question, dataToMs),
    assumed: assumedOf(question.told, measuredC, pool),
    freezing: instants(sortedMinutesTo(laws, curve.nowC, milkFreezesC), dataToMs),
    freezesC: milkFreezesC,
    rateCPerMin: curve.rateCPerMin,
    atDeadline: atDeadlineOf(laws, curve, question, dataToMs),
  };
  const reached = reachedMs(raw, question.limitC, sinceMs);
  const sure = reachedMs(raw, question.limitC - question.marginC, sinceMs);
  const crossing =
    reached === null
      ? instants(sortedMinutesTo(laws, curve.nowC, question.limitC), dataToMs)
      : { p10: reached, p50: reached, p90: reached };
  if (sure !== null) return { ...outlook, crossing, chance: sure <= question.deadlineMs ? 1 : 0 };
  const chance = chanceWithin(pool, {
    nowC: curve.nowC,
    toC: question.limitC - question.marginC,
    spanMin: (question.deadlineMs - dataToMs) / 60_000,
  });
  return { ...outlook, crossing, chance };
}

/** The first point at or under the limit that the points of the next minute do not contradict. */
function reachedMs(raw: readonly TracePoint[], limitC: number, sinceMs: number): number | null {
  for (const [place, { tMin, tempC }] of raw.entries()) {
    if (tempC > limitC) continue;
    const holds = raw.slice(place + 1).every((later) => later.tMin > tMin + 1 || later.tempC <= limitC);
    if (holds) return Math.round(sinceMs + tMin * 60_000);
  }
  return null;
}

function measuredAround(trace: ChillTrace, question: ChillQuestion, atMs: number): number | null {
  const fromMs = Math.max(question.sinceMs, atMs - 20 * 60_000);
  const points = tracePoints(trace, { fromMs, toMs: atMs, sinceMs: question.sinceMs, around: true });
  if (points.length === 0) return null;
  return points.reduce((sum, { tempC }) => sum + tempC, 0) / points.length;
}

function instants(minutes: readonly number[], fromMs: number): InstantQuantiles {
  const at = (share: number) => {
    const spanMs = minutes.length === 0 ? Number.POSITIVE_INFINITY : quantile(minutes, share) * 60_000;
    return spanMs <= foreseeableMs ? Math.round(fromMs + spanMs) : null;
  };
  return { p10: at(0.1), p50: at(0.5), p90: at(0.9) };
}

function temps(sorted: readonly number[]): TempQuantiles {
  return { p10: quantile(sorted, 0.1), p50: quantile(sorted, 0.5), p90: quantile(sorted, 0.9) };
}

function atDeadlineOf(
  laws: readonly CoolingLaw[],
  curve: ChillCurve,
  question: ChillQuestion,
  dataToMs: number,
): TempQuantiles | null {
  const spanMin = (question.deadlineMs - dataToMs) / 60_000;
  if (spanMin < 0 || laws.length === 0) return null;
  return temps(sortedTemps(laws, { nowC: curve.nowC, spanMin, leastC: milkFreezesC }));
}

/** A path in growing steps to half an hour past deadline or median crossing, 12 h at most. */
function pathOf(
  laws: readonly CoolingLaw[],
  curve: ChillCurve,
  question: ChillQuestion,
  dataToMs: number,
): PathPoint[] {
  if (laws.length === 0) return [];
  const middleMs = quantile(sortedMinutesTo(laws, curve.nowC, question.limitC), 0.5) * 60_000;
  const farMs = Math.max(question.deadlineMs - dataToMs, middleMs <= foreseeableMs ? middleMs : 0);
  const spanMs = Math.min(foreseeableMs, Math.max(0, farMs) + 30 * 60_000);
  const path: PathPoint[] = [];
  for (let step = 0; step <= pathSteps; step++) {
    const aheadMs = Math.round(spanMs * (step / pathSteps) ** 1.5);
    const sorted = sortedTemps(laws, {
      nowC: curve.nowC,
      spanMin: aheadMs / 60_000,
      leastC: milkFreezesC,
    });
    const { p10, p50, p90 } = temps(sorted);
    path.push({ atMs: dataToMs + aheadMs, p10C: p10, p50C: p50, p90C: p90 });
  }
  return path;
}

function assumedOf(told: Told, measuredC: number | null, pool: readonly PoolMember[]): Assumed {
  const { place, volumeL } = told;
  if (measuredC !== null) return { place, aroundC: measuredC, volumeL, from: 'measured' };
  if (told.aroundC !== null) return { place, aroundC: told.aroundC, volumeL, from: 'told' };
  const inferredC = pool.reduce((sum, { law, weight }) => sum + law.aroundC * weight, 0);
  return { place, aroundC: pool.length > 0 ? inferredC : null, volumeL, from: place ? 'told' : 'inferred' };
}
