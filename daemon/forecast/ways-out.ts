/** The ways out of a chill that would miss: which can be thought of, each forecast, those that would help. */
import type { Rescue, RescueKind } from '../../shared/contract/forecast.ts';
import { rescueSureFrom } from '../../shared/dairy/offered-rescue.ts';
import { bathWays } from './bath-ways.ts';
import { changedWays } from './changed-ways.ts';
import { type ChillQuestion, outlookOf } from './chill-forecast.ts';
import type { ChillTrace } from './chill-trace.ts';
import { type ChillView, viewChill } from './chill-view.ts';
import { logOdds } from './correction-features.ts';
import { chanceWithin, drawLaws, middleMin } from './crossing.ts';
import { forecastWay, type Way, type WayStart } from './way-forecast.ts';

/** The two halves of the work: ways through water, and ways that change how it stands. One is a slice. */
export const waySlices = ['baths', 'changes'] as const;
export type WaySlice = (typeof waySlices)[number];

const sliceOf: Readonly<Record<RescueKind, WaySlice>> = {
  'ice-bath-stirred': 'baths',
  'ice-bath': 'baths',
  'cold-water': 'baths',
  'cold-water-then-ice': 'baths',
  split: 'changes',
  stir: 'changes',
  fan: 'changes',
};

/** Of the pool's draws every third stands for them here; they mix, and more would not show. */
const lawsEvery = 3;
/** What a change of how milk stands takes over, with nothing told, of what its forecast corrects itself by. */
const leanShare = 0.5;
/** A way is worth a hand where it brings this much more chance, or this share of the time that is left. */
const worthChance = 0.1;
const worthShare = 0.1;

/**
 * Returns the ways that could still help, quickest first, each with its own chance and quantiles; none once the
 * milk is at the limit. `chance` is the outlook's own, if nothing is done. With a `slice` only that half is made anew and the rest is taken from `before`.
 */
export function waysOut(
  view: ChillView,
  question: ChillQuestion,
  of: { atMs: number; chance: number; slice?: WaySlice; before?: readonly Rescue[] },
): Rescue[] {
  const { nowC } = view.curve;
  if (nowC <= question.limitC - question.marginC) return [];
  const laws = drawLaws(view.pool).filter((_, place) => place % lawsEvery === 0);
  const start: WayStart = { atMs: of.atMs, nowC, asItGoes: laws };
  const kept = (of.before ?? []).filter(({ kind }) => of.slice !== undefined && sliceOf[kind] !== of.slice);
  const ways: Rescue[] = [...kept];
  const thought: Way[] = [];
  if (of.slice !== 'changes') thought.push(...bathWays(nowC, question));
  if (of.slice !== 'baths') {
    const odds = { saidOdds: logOdds(of.chance), poolOdds: logOdds(poolChance(view, question)) };
    thought.push(...changedWays({ laws, nowC, lean: leanOf(question, odds) }, question));
  }
  const left = {
    chance: of.chance,
    crossingMs: view.dataToMs + 60_000 * middleMin(laws, nowC, question.limitC),
  };
  for (const way of thought) {
    const rescue = forecastWay(way, start, question);
    if (isWorthwhile(rescue, left, of.atMs)) ways.push(rescue);
  }
  const median = ({ crossing }: Rescue) => crossing.p50 ?? Number.POSITIVE_INFINITY;
  return ways.sort((a, b) => (median(a) === median(b) ? b.chance - a.chance : median(a) - median(b)));
}

/** The ways out of a chill by its trace; none while there are too few readings. */
export function rescueChill(trace: ChillTrace, question: ChillQuestion, atMs: number): Rescue[] {
  const view = viewChill(trace, question, atMs);
  return view === null ? [] : waysOut(view, question, { atMs, chance: outlookOf(view, question).chance });
}

type AsItGoes = { chance: number; crossingMs: number };

/**
 * What the log-odds of a change lean to: its laws are those of the milk as it goes. Where these call the milk on course
 * and its forecast knows better, all of that is taken over; where they do not, with a place told nothing.
 */
function leanOf(
  { told }: ChillQuestion,
  { poolOdds, saidOdds }: { poolOdds: number; saidOdds: number },
): number {
  const corrects = Math.min(0, saidOdds - poolOdds);
  if (poolOdds > 0) return corrects;
  return told.place === null ? leanShare * corrects : 0;
}

/** The chance if nothing is done, before the forecast corrects it. */
function poolChance({ curve, dataToMs, pool }: ChillView, question: ChillQuestion): number {
  const { deadlineMs, limitC, marginC } = question;
  const spanMin = (deadlineMs - dataToMs) / 60_000;
  return chanceWithin(pool, { nowC: curve.nowC, toC: limitC - marginC, spanMin });
}

function isWorthwhile({ chance, crossing }: Rescue, left: AsItGoes, atMs: number): boolean {
  if (crossing.p50 === null) return false;
  if (chance >= rescueSureFrom || chance >= left.chance + worthChance) return true;
  return left.crossingMs - crossing.p50 >= worthShare * (left.crossingMs - atMs);
}
