/** The chill forecast: from a trace and a question to chance, crossing and path. */
import type { Assumed, InstantQuantiles, PathPoint, TempQuantiles } from '../../shared/contract/forecast.ts';
import { milkFreezesC } from '../../shared/dairy/milk-freezing.ts';
import type { ChillTrace, TracePoint } from './chill-trace.ts';
import { type ChillView, viewChill } from './chill-view.ts';
import { type CoolingLaw, cooledC, minutesTo } from './cooling-law.ts';
import { correctionFeatures } from './correction-features.ts';
import { bentQuantile, chanceWithin, drawLaws, quantile } from './crossing.ts';
import {
  type Correction,
  correctedShare,
  correctionOf,
  noCorrection,
  uncorrectedShare,
} from './learned-correction.ts';
import type { PoolMember } from './model-pool.ts';
import type { Told } from './place-prior.ts';

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
  const view = viewChill(trace, question, atMs);
  if (view === null) return null;
  const { dataToMs, raw, curve, pool, measuredC } = view;
  const spread = openSpread(view, question);
  const reached = reachedMs(raw, question.limitC, question.sinceMs);
  return {
    dataToMs,
    chance: chanceOf(view, question, spread),
    crossing:
      reached === null ? instants(spread, question.limitC) : { p10: reached, p50: reached, p90: reached },
    atDeadline: atDeadlineOf(spread, question),
    path: pathOf(spread, question),
    assumed: assumedOf(question.told, measuredC, pool),
    freezing: instants(spread, milkFreezesC),
    freezesC: milkFreezesC,
    rateCPerMin: curve.rateCPerMin,
  };
}

/** Equally likely laws from the last data on, and the learned bend of their shares. */
type Spread = {
  dataToMs: number;
  nowC: number;
  laws: readonly CoolingLaw[];
  reachMin: number;
  correction: Correction;
};

function openSpread(view: ChillView, question: ChillQuestion): Spread {
  const { curve, pool, told, dataToMs } = view;
  const reachMin = Math.max(1, (question.deadlineMs - dataToMs) / 60_000);
  const features = correctionFeatures({ curve, pool, told, toC: question.limitC, reachMin });
  const correction = pool.length > 0 ? correctionOf(features) : noCorrection;
  return { dataToMs, nowC: curve.nowC, laws: drawLaws(pool), reachMin, correction };
}

function chanceOf(view: ChillView, question: ChillQuestion, spread: Spread): number {
  const toC = question.limitC - question.marginC;
  const sure = reachedMs(view.raw, toC, question.sinceMs);
  if (sure !== null) return sure <= question.deadlineMs ? 1 : 0;
  const spanMin = (question.deadlineMs - view.dataToMs) / 60_000;
  if (spanMin <= 0) return 0;
  if (spread.nowC <= toC) return 1;
  const share = chanceWithin(view.pool, { nowC: spread.nowC, toC, spanMin });
  return correctedShare(share, spanMin / spread.reachMin, spread.correction);
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

function instants(spread: Spread, toC: number): InstantQuantiles {
  const { laws, nowC, dataToMs } = spread;
  const minutes = laws.map((law) => minutesTo(law, nowC, toC)).sort((a, b) => a - b);
  const bend = (share: number, spanMin: number) =>
    correctedShare(share, spanMin / spread.reachMin, spread.correction);
  const at = (share: number) => {
    const spanMs = bentQuantile(minutes, share, bend) * 60_000;
    return spanMs <= foreseeableMs ? Math.round(dataToMs + spanMs) : null;
  };
  return { p10: at(0.1), p50: at(0.5), p90: at(0.9) };
}

function tempsAfter(spread: Spread, spanMin: number): TempQuantiles {
  const sorted = spread.laws
    .map((law) => Math.max(milkFreezesC, cooledC(law, spread.nowC, spanMin)))
    .sort((a, b) => a - b);
  const part = spanMin / spread.reachMin;
  const at = (share: number) => quantile(sorted, uncorrectedShare(share, part, spread.correction));
  return { p10: at(0.1), p50: at(0.5), p90: at(0.9) };
}

function atDeadlineOf(spread: Spread, question: ChillQuestion): TempQuantiles | null {
  const spanMin = (question.deadlineMs - spread.dataToMs) / 60_000;
  return spanMin < 0 || spread.laws.length === 0 ? null : tempsAfter(spread, spanMin);
}

/** A path in growing steps to half an hour past deadline or median crossing, 12 h at most. */
function pathOf(spread: Spread, question: ChillQuestion): PathPoint[] {
  const { dataToMs, laws } = spread;
  if (laws.length === 0) return [];
  const middle = instants(spread, question.limitC).p50 ?? dataToMs;
  const farMs = Math.max(question.deadlineMs, middle, dataToMs) - dataToMs;
  const spanMs = Math.min(foreseeableMs, farMs + 30 * 60_000);
  return Array.from({ length: pathSteps + 1 }, (_, step) => {
    const aheadMs = Math.round(spanMs * (step / pathSteps) ** 1.5);
    const { p10, p50, p90 } = tempsAfter(spread, aheadMs / 60_000);
    return { atMs: dataToMs + aheadMs, p10C: p10, p50C: p50, p90C: p90 };
  });
}

function assumedOf(told: Told, measuredC: number | null, pool: readonly PoolMember[]): Assumed {
  const { place, volumeL } = told;
  if (measuredC !== null) return { place, aroundC: measuredC, volumeL, from: 'measured' };
  if (told.aroundC !== null) return { place, aroundC: told.aroundC, volumeL, from: 'told' };
  const inferredC = pool.reduce((sum, { law, weight }) => sum + law.aroundC * weight, 0);
  return { place, aroundC: pool.length > 0 ? inferredC : null, volumeL, from: place ? 'told' : 'inferred' };
}
