/** What a forecast spreads over: equally likely laws from one instant on, and the learned bend of their shares. */
import type { InstantQuantiles, PathPoint, TempQuantiles } from '../../shared/contract/forecast.ts';
import { milkFreezesC } from '../../shared/dairy/milk-freezing.ts';
import { type CoolingLaw, cooledC, minutesTo } from './cooling-law.ts';
import { bentQuantile, quantile } from './crossing.ts';
import { type Correction, correctedShare, uncorrectedShare } from './learned-correction.ts';

/** Laws that start from `nowC` at `fromMs`; `reachMin` is the span to the deadline, at least a minute. */
export type Spread = {
  fromMs: number;
  nowC: number;
  laws: readonly CoolingLaw[];
  reachMin: number;
  correction: Correction;
};

/** Beyond this much time a crossing is called never. */
export const foreseeableMs = 12 * 3_600_000;
const pathSteps = 30;
/** About as many laws as a path is drawn from: more would not show. Of the pool's draws it is every third, which mixes. */
const pathLawsMost = 32;
const pathPastMs = 30 * 60_000;

/** What each end of the 80 % interval leaves out. */
const outside = 0.1;

/**
 * Returns when the milk gets down to `toC`; null is never within 12 h. `p10` to `p90` holds four fifths of what
 * is believed: where the late end is never, nothing lies beyond it, and the early end alone leaves out a fifth.
 */
export function instants(spread: Spread, toC: number): InstantQuantiles {
  const { laws, nowC, fromMs } = spread;
  const minutes = Float64Array.from(laws, (law) => minutesTo(law, nowC, toC)).sort();
  const bend = (share: number, spanMin: number) =>
    correctedShare(share, spanMin / spread.reachMin, spread.correction);
  const at = (share: number) => {
    const spanMs = bentQuantile(minutes, share, bend) * 60_000;
    return spanMs <= foreseeableMs ? Math.round(fromMs + spanMs) : null;
  };
  const late = at(1 - outside);
  return { p10: at(late === null ? 2 * outside : outside), p50: at(0.5), p90: late };
}

/** Returns how warm the milk is `spanMin` on, never below its freezing point. */
export function tempsAfter(spread: Spread, spanMin: number): TempQuantiles {
  const sorted = Float64Array.from(spread.laws, (law) =>
    Math.max(milkFreezesC, cooledC(law, spread.nowC, spanMin)),
  ).sort();
  const part = spanMin / spread.reachMin;
  const at = (share: number) => quantile(sorted, uncorrectedShare(share, part, spread.correction));
  return { p10: at(0.1), p50: at(0.5), p90: at(0.9) };
}

/** Returns a path in growing steps to half an hour past deadline or median crossing, 12 h at most. */
export function pathOf(spread: Spread, until: { limitC: number; deadlineMs: number }): PathPoint[] {
  const { fromMs, laws } = spread;
  if (laws.length === 0) return [];
  const middle = instants(spread, until.limitC).p50 ?? fromMs;
  const farMs = Math.max(until.deadlineMs, middle, fromMs) - fromMs;
  const spanMs = Math.min(foreseeableMs, farMs + pathPastMs);
  const every = Math.max(1, Math.round(laws.length / pathLawsMost));
  const drawn = { ...spread, laws: laws.filter((_, place) => place % every === 0) };
  return Array.from({ length: pathSteps + 1 }, (_, step) => {
    const aheadMs = Math.round(spanMs * (step / pathSteps) ** 1.5);
    const { p10, p50, p90 } = tempsAfter(drawn, aheadMs / 60_000);
    return { atMs: fromMs + aheadMs, p10C: p10, p50C: p50, p90C: p90 };
  });
}
