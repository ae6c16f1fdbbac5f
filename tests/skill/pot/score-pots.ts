/** Scores of pots: how far off the time left was, whether the interval held, and where "heat off now" took them. */

import { quantileOf } from '../quantile-of.ts';
import type { CoastStory } from './coast-pot.ts';
import { askedShares, type PotStory } from './follow-pot.ts';

export type ShareScore = {
  share: number;
  pots: number;
  /** Errors as shares of the time left. */
  median: number;
  p90: number;
  lineMedian: number;
  lineP90: number;
  /** How often the truth lay between p10 and p90. */
  covered: number;
  /** Pots that got there of which it was said that they never would. */
  saidNever: number;
};

export type PotScore = {
  title: string;
  shares: ShareScore[];
  /** Of pots that never got there, how many had been told so at half way. */
  never: { pots: number; told: number };
};

/** A pot of which nothing was said counts as this far off. */
const unsaid = 9;

/** Scores the stories of pots that got to their target, at each asked share of the way. */
export function scorePots(title: string, stories: readonly PotStory[]): PotScore {
  const reached = stories.filter(({ crossedMs }) => crossedMs !== null);
  const lost = stories.filter(({ crossedMs }) => crossedMs === null);
  const told = lost.filter(({ said }) => said[1]?.p50Ms === null).length;
  return {
    title,
    shares: askedShares.map((share, place) => scoreShare(reached, share, place)),
    never: { pots: lost.length, told },
  };
}

function scoreShare(reached: readonly PotStory[], share: number, place: number): ShareScore {
  const own: number[] = [];
  const line: number[] = [];
  let covered = 0;
  let saidNever = 0;
  for (const { crossedMs, said } of reached) {
    const truthMs = crossedMs as number;
    const leftMs = truthMs * (1 - share);
    const { p10Ms, p50Ms, p90Ms, lineMs } = said[place] as PotStory['said'][number];
    own.push(p50Ms === null ? unsaid : Math.abs(p50Ms - truthMs) / leftMs);
    line.push(lineMs === null ? unsaid : Math.abs(lineMs - truthMs) / leftMs);
    if (p50Ms === null) saidNever += 1;
    if ((p10Ms ?? Infinity) <= truthMs && truthMs <= (p90Ms ?? Infinity)) covered += 1;
  }
  return {
    share,
    pots: reached.length,
    median: quantileOf(own, 0.5),
    p90: quantileOf(own, 0.9),
    lineMedian: quantileOf(line, 0.5),
    lineP90: quantileOf(line, 0.9),
    covered: covered / Math.max(1, reached.length),
    saidNever,
  };
}

export type CoastScore = {
  pots: number;
  said: number;
  within1C: number;
  p10C: number;
  p50C: number;
  p90C: number;
};

/** Scores where coasts ended against their targets; pots whose probe touched the bottom are left out. */
export function scoreCoasts(stories: readonly CoastStory[]): CoastScore {
  const clear = stories.filter(({ touching }) => !touching);
  const missed = clear.filter(({ saidMs }) => saidMs !== null).map(({ missedC }) => missedC);
  return {
    pots: clear.length,
    said: missed.length,
    within1C: missed.filter((offC) => Math.abs(offC) <= 1).length / Math.max(1, missed.length),
    p10C: quantileOf(missed, 0.1),
    p50C: quantileOf(missed, 0.5),
    p90C: quantileOf(missed, 0.9),
  };
}
