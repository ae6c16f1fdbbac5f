/** The heat forecast: from a bank and a question to chance, crossing, path, where it levels off, how far it coasts. */
import {
  type InstantQuantiles,
  type PathPoint,
  pathPointsMax,
  type TempQuantiles,
} from '../../shared/contract/forecast.ts';
import { normalShare, quantile } from './crossing.ts';
import { type HeatBank, heatWeights, upToNow } from './heat-bank.ts';
import { coastC, drawHeat, type HeatDraw, lawOf, runHeat } from './heat-draws.ts';
import type { HeatLaw } from './heat-law.ts';

export {
  feedHeat,
  feedRoom,
  type HeatBank,
  type HeatTold,
  openHeatBank,
  shiftHeatBank,
} from './heat-bank.ts';

/** What is asked of a heat: at or over `limitC` (surely: and `marginC` more) by `deadlineMs`. */
export type HeatQuestion = { limitC: number; marginC: number; deadlineMs: number; seed: string };

/** Where a heat is going, as seen from its readings up to `dataToMs`. */
export type HeatOutlook = {
  dataToMs: number;
  /** That the milk is at or over limit and margin by the deadline. */
  chance: number;
  /** At the limit as typed; null is never within 12 h. */
  crossing: InstantQuantiles;
  /** Null once the deadline has passed. */
  atDeadline: TempQuantiles | null;
  /** At most 120 points from `dataToMs` on, never past the boil. */
  path: PathPoint[];
  /** Now, smoothed, °C. */
  nowC: number;
  /** °C a minute now. */
  rateCPerMin: number;
  /** That it never gets to the limit, however long. */
  neverChance: number;
  /** Where it levels off as it is going, °C; the boil at the most. */
  levelC: TempQuantiles;
  boilsC: number;
  /** The highest it gets if the burner goes off now, °C. */
  coastC: TempQuantiles;
  /** That a lid is on, as far as the losses tell. */
  lidChance: number;
  /** When it would get there with a lid on from now; null where it would not, or has one. */
  withLid: InstantQuantiles | null;
  roomC: number;
};

/** Beyond this much time a crossing is called never. */
const foreseeableMin = 12 * 60;
const pathPoints = 45;
/** A person at the stove takes this long to turn a knob after reading it (taken, no source). */
export const handMin = 0.2;

/** Answers the question from what was fed at or before `dataToMs`; null before the second bin. */
export function forecastHeat(bank: HeatBank, question: HeatQuestion): HeatOutlook | null {
  const now = upToNow(bank);
  if (now.atMs === null || now.filters.length === 0) return null;
  const law = lawOf(now);
  const draws = drawHeat(now, question.seed);
  const dataToMs = Math.round(bank.open?.lastMs ?? now.atMs);
  const guarded = question.limitC + question.marginC;
  const levelsC = question.marginC > 0 ? [question.limitC, guarded] : [question.limitC];
  const runs = draws.map((draw) => runHeat(law, draw, { spanMin: foreseeableMin, levelsC }));
  const reached = runs.map(({ reachedMin }) => reachedMin[0] as number);
  const spanMin = (question.deadlineMs - now.atMs) / 60_000;
  const crossing = instantsOf(reached, now.atMs);
  const levels = draws.map((draw) => levelOf(law, draw));
  const lidChance = lidOf(now);
  const nowC = meanOf(draws, ({ tempC }) => tempC);
  return {
    dataToMs,
    chance: chanceOf(
      runs.map(({ reachedMin }) => reachedMin.at(-1) as number),
      spanMin,
    ),
    crossing,
    ...pathAndDeadline(law, draws, { atMs: now.atMs, crossing, deadlineMs: question.deadlineMs }),
    nowC,
    rateCPerMin: rateOf(law, draws),
    neverChance: neverOf(reached),
    levelC: tempsOf(levels),
    boilsC: law.boilsC,
    coastC: tempsOf(draws.map((draw) => coastC(law, draw, handMin))),
    lidChance,
    withLid: withLidOf(law, draws, {
      atMs: now.atMs,
      limitC: question.limitC,
      lidChance,
      never: neverOf(reached),
    }),
    roomC: now.roomC,
  };
}

function neverOf(reachedMin: readonly number[]): number {
  return reachedMin.filter((min) => min === Number.POSITIVE_INFINITY).length / reachedMin.length;
}

/** Each pot counts for a little around its own time, so that the chance moves smoothly. */
function chanceOf(reachedMin: readonly number[], spanMin: number): number {
  let sum = 0;
  for (const min of reachedMin) {
    if (min === 0) sum += 1;
    else if (min < Number.POSITIVE_INFINITY && spanMin > 0) {
      sum += normalShare(Math.log(spanMin / min) / 0.03);
    }
  }
  return sum / reachedMin.length;
}

function instantsOf(reachedMin: readonly number[], atMs: number): InstantQuantiles {
  const sorted = [...reachedMin].sort((a, b) => a - b);
  const at = (share: number) => {
    const min = finiteQuantile(sorted, share);
    return min === null ? null : Math.round(atMs + min * 60_000);
  };
  return { p10: at(0.1), p50: at(0.5), p90: at(0.9) };
}

function finiteQuantile(sorted: readonly number[], share: number): number | null {
  const finite = sorted.filter((min) => min < Number.POSITIVE_INFINITY);
  if (share * sorted.length > finite.length - 0.5) return null;
  return quantile(
    sorted.map((min) => (min === Number.POSITIVE_INFINITY ? 1e9 : min)),
    share,
  );
}

function tempsOf(values: readonly number[]): TempQuantiles {
  const sorted = [...values].sort((a, b) => a - b);
  return { p10: quantile(sorted, 0.1), p50: quantile(sorted, 0.5), p90: quantile(sorted, 0.9) };
}

function meanOf(draws: readonly HeatDraw[], of: (draw: HeatDraw) => number): number {
  return draws.reduce((sum, draw) => sum + of(draw), 0) / draws.length;
}

function rateOf(law: HeatLaw, draws: readonly HeatDraw[]): number {
  return meanOf(draws, (draw) => {
    const after = runHeat(law, draw, { spanMin: 0.5, levelsC: [], atMin: [0.5] }).tempsC[0] as number;
    return (after - draw.tempC) / 0.5;
  });
}

/** Where what comes in and what goes are equal, found by halving; the boil where it never is. */
function levelOf(law: HeatLaw, draw: HeatDraw): number {
  const gains = (tempC: number) =>
    draw.burner -
    draw.wall * (law.wall[placeOf(law, tempC)] as number) -
    draw.vapour * (law.vapour[placeOf(law, tempC)] as number);
  let low = law.roomC;
  let high = law.boilsC;
  if (gains(high) > 0) return high;
  for (let step = 0; step < 12; step++) {
    const middle = (low + high) / 2;
    if (gains(middle) > 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

function placeOf(law: HeatLaw, tempC: number): number {
  return Math.min(law.wall.length - 1, Math.max(0, Math.round((tempC - law.fromC) / law.stepC)));
}

function lidOf(bank: HeatBank): number {
  return heatWeights(bank).reduce((sum, weight, place) => sum + (bank.filters[place]?.lid ? weight : 0), 0);
}

/** What a lid keeps of the vapour: nearly all (common practice, no source). */
const lidLets = 0.12;

function withLidOf(
  law: HeatLaw,
  draws: readonly HeatDraw[],
  at: { atMs: number; limitC: number; lidChance: number; never: number },
): InstantQuantiles | null {
  if (at.lidChance > 0.5 || at.never < 0.3) return null;
  const reached = draws.map(
    (draw) =>
      runHeat(
        law,
        { ...draw, vapour: draw.vapour * lidLets },
        { spanMin: foreseeableMin, levelsC: [at.limitC] },
      ).reachedMin[0] as number,
  );
  const crossing = instantsOf(reached, at.atMs);
  return crossing.p50 === null ? null : crossing;
}

/** A path to a little past the crossing or the deadline, whichever is nearer, and the milk at the deadline. */
function pathAndDeadline(
  law: HeatLaw,
  draws: readonly HeatDraw[],
  at: { atMs: number; crossing: InstantQuantiles; deadlineMs: number },
): { path: PathPoint[]; atDeadline: TempQuantiles | null } {
  const deadlineMin = (at.deadlineMs - at.atMs) / 60_000;
  const crossMin = at.crossing.p50 === null ? null : (at.crossing.p50 - at.atMs) / 60_000;
  const endMin = Math.min(
    foreseeableMin,
    Math.max(5, crossMin === null ? Math.max(30, deadlineMin) : crossMin * 1.25 + 3),
  );
  const steps = Math.min(pathPoints, pathPointsMax - 1);
  const pathMin = Array.from({ length: steps + 1 }, (_, step) => endMin * (step / steps) ** 1.3);
  const isAhead = deadlineMin >= 0;
  const minutes = isAhead ? [...pathMin, deadlineMin].sort((a, b) => a - b) : pathMin;
  const runs = draws.map((draw) =>
    runHeat(law, draw, { spanMin: Math.max(endMin, deadlineMin), levelsC: [], atMin: minutes }),
  );
  const temps = minutes.map((_, place) => tempsOf(runs.map(({ tempsC }) => tempsC[place] as number)));
  const deadlinePlace = isAhead ? minutes.indexOf(deadlineMin) : -1;
  const path: PathPoint[] = [];
  for (const [place, min] of minutes.entries()) {
    if (place === deadlinePlace) continue;
    const { p10, p50, p90 } = temps[place] as TempQuantiles;
    path.push({ atMs: Math.round(at.atMs + min * 60_000), p10C: p10, p50C: p50, p90C: p90 });
  }
  return { path, atDeadline: isAhead ? (temps[deadlinePlace] as TempQuantiles) : null };
}
