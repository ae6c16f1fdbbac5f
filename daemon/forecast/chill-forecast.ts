/** The chill forecast: from a trace and a question to chance, crossing and path. */
import type {
  Assumed,
  InstantQuantiles,
  PathPoint,
  RescueKind,
  TempQuantiles,
} from '../../shared/contract/forecast.ts';
import type { Lesson } from '../../shared/contract/prior.ts';
import type { AtHand } from '../../shared/dairy/at-hand.ts';
import { milkFreezesC } from '../../shared/dairy/milk-freezing.ts';
import type { ChillTrace, TracePoint } from './chill-trace.ts';
import { type ChillView, viewChill } from './chill-view.ts';
import { correctionFeatures } from './correction-features.ts';
import { chanceWithin, drawLaws } from './crossing.ts';
import { correctedShare, correctionOf, noCorrection } from './learned-correction.ts';
import { slowed } from './learned-ways.ts';
import type { PoolMember } from './model-pool.ts';
import type { Told } from './place-prior.ts';
import { instants, pathOf, type Spread, tempsAfter } from './spread.ts';

export { type ChillTrace, feedChill, openChillTrace } from './chill-trace.ts';
export { rescueChill } from './ways-out.ts';

/** What is asked of a chill: under `limitC` (surely: less `marginC`) by `deadlineMs`, in since `sinceMs`. */
export type ChillQuestion = {
  limitC: number;
  marginC: number;
  deadlineMs: number;
  sinceMs: number;
  told: Told;
  /** What the house's own chills of such milk taught; nothing where left out. */
  lessons?: readonly Lesson[];
  /** What the house has at hand for a way out; nothing told where left out. */
  atHand?: AtHand;
  /** Ways out that were taken: they are not offered again. */
  done?: readonly RescueKind[];
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

/** Answers the question from readings at or before `atMs`; null while there are too few since `sinceMs`. */
export function forecastChill(trace: ChillTrace, question: ChillQuestion, atMs: number): ChillOutlook | null {
  const view = viewChill(trace, question, atMs);
  return view === null ? null : outlookOf(view, question);
}

/** Answers the question from a view of the same chill that was drawn before. */
export function outlookOf(view: ChillView, question: ChillQuestion): ChillOutlook {
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

function openSpread(view: ChillView, question: ChillQuestion): Spread {
  const { curve, dataToMs, learned, pool, told } = view;
  const reachMin = Math.max(1, (question.deadlineMs - dataToMs) / 60_000);
  const features = correctionFeatures({ curve, pool, told, toC: question.limitC, reachMin });
  const correction = pool.length > 0 && learned.by === 'usual' ? correctionOf(features) : noCorrection;
  return {
    fromMs: dataToMs,
    nowC: curve.nowC,
    laws: drawLaws(slowed(pool, learned.slower)),
    reachMin,
    correction,
  };
}

function chanceOf(view: ChillView, question: ChillQuestion, spread: Spread): number {
  const toC = question.limitC - question.marginC;
  const sure = reachedMs(view.raw, toC, question.sinceMs);
  if (sure !== null) return sure <= question.deadlineMs ? 1 : 0;
  const spanMin = (question.deadlineMs - view.dataToMs) / 60_000;
  if (spanMin <= 0) return 0;
  if (spread.nowC <= toC) return 1;
  const share = chanceWithin(slowed(view.pool, view.learned.slower), { nowC: spread.nowC, toC, spanMin });
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

function atDeadlineOf(spread: Spread, question: ChillQuestion): TempQuantiles | null {
  const spanMin = (question.deadlineMs - spread.fromMs) / 60_000;
  return spanMin < 0 || spread.laws.length === 0 ? null : tempsAfter(spread, spanMin);
}

function assumedOf(told: Told, measuredC: number | null, pool: readonly PoolMember[]): Assumed {
  const { place, volumeL } = told;
  if (measuredC !== null) return { place, aroundC: measuredC, volumeL, from: 'measured' };
  if (told.aroundC !== null) return { place, aroundC: told.aroundC, volumeL, from: 'told' };
  const inferredC = pool.reduce((sum, { law, weight }) => sum + law.aroundC * weight, 0);
  return { place, aroundC: pool.length > 0 ? inferredC : null, volumeL, from: place ? 'told' : 'inferred' };
}
