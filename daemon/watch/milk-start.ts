/**
 * The start of a chill, felt from one probe: the instant at which it came into fresh milk. Found by the jump
 * and by what follows it (milk-stretch.ts), not by a temperature alone.
 */

import { explainAsMilk, type Stretch, smoothed } from './milk-stretch.ts';
import { addReading, openRecent, type Recent } from './recent.ts';

/** What is remembered of one idle probe. JSON-safe, under 3 KB. */
export type MilkStart = {
  recent: Recent;
  /** The probe's very first reading; null before it, and once it can tell nothing more. */
  first: { atMs: number; tempC: number } | null;
  /** When the last minutes were last judged. */
  judgedMs: number;
  /** Where the probe last rested for long outside milk: the room, mostly. */
  restC: number | null;
  /** Since when it has been resting near `restingC`. */
  restingSinceMs: number;
  restingC: number;
};

export type FoundMilk = { sinceMs: number; by: 'insertion' | 'first-reading' };

/** Fresh milk as it comes to the jar: udder-warm at most (sheep 39 °C), strained and carried at least. */
const milkLeastC = 27.5;
const milkMostC = 40.3;
/** A jump smaller than this is not told from a hand's warmth wandering. */
const jumpLeastC = 3;
/** The jump is judged while it is this old; a hand or a rinse has shown itself by the first of them. */
const ageLeastS = 170;
const ageFastS = 235;
const ageMostS = 330;
const judgeEveryMs = 10_000;
/** Milk that loses more than this a minute is in ice, or no milk: it is looked at for longer. */
const fastPerMin = 0.06;
/** A probe slower than this in milk is a probe in air. */
const lagMostS = 75;
/** Resting means within this band for this long. */
const restBandC = 1;
const restLeastMs = 10 * 60_000;
/** A first reading in milk is told by its slow fall within this time. */
const firstWithinMs = 40 * 60_000;
const firstAgeLeastMs = 150_000;
const firstFallC = 0.6;

/** Returns the feeling for a start on a probe of which nothing is known. */
export function openMilkStart(): MilkStart {
  return {
    recent: openRecent(),
    first: null,
    judgedMs: 0,
    restC: null,
    restingSinceMs: 0,
    restingC: Number.NaN,
  };
}

/**
 * Takes over `state` and feels one reading. `found.sinceMs` is when the milk came on the probe, told 3–5 min
 * after; after that the caller opens anew. Cheap (under 1 µs) unless the probe has just warmed.
 */
export function feelStart(
  state: MilkStart,
  reading: { atMs: number; tempC: number },
): { state: MilkStart; found: FoundMilk | null } {
  if (state.recent.openBin < 0) state.first = { atMs: reading.atMs, tempC: reading.tempC };
  if (!addReading(state.recent, reading)) return { state, found: null };
  feelRest(state);
  const newestMs = state.recent.atMs.at(-1) ?? 0;
  if (newestMs - state.judgedMs < judgeEveryMs) return { state, found: null };
  state.judgedMs = newestMs;
  return { state, found: judgeInsertion(state) ?? judgeFirst(state) };
}

/** Keeps the level at which the probe rested long: a later arrival at the same level is the room again. */
function feelRest(state: MilkStart): void {
  const atMs = state.recent.atMs.at(-1) ?? 0;
  const tempC = state.recent.tempC.at(-1) ?? 0;
  if (!(Math.abs(tempC - state.restingC) <= restBandC)) {
    state.restingC = tempC;
    state.restingSinceMs = atMs;
    return;
  }
  state.restingC += (tempC - state.restingC) * 0.02;
  if (atMs - state.restingSinceMs >= restLeastMs) state.restC = Math.round(state.restingC * 100) / 100;
}

function judgeInsertion(state: MilkStart): FoundMilk | null {
  if (!couldHoldMilk(state.recent)) return null;
  const stretch = longestStretch(state.recent);
  if (stretch === null || !isFreshMilk(stretch)) return null;
  const ageS = ((state.recent.atMs.at(-1) ?? 0) - stretch.sinceMs) / 1000;
  if (stretch.coolingPerMin > fastPerMin && ageS < ageFastS) return null;
  const isRoomAgain =
    state.restC !== null && stretch.coolingPerMin < 0.004 && Math.abs(stretch.milkC - state.restC) < 1.2;
  return isRoomAgain ? null : { sinceMs: stretch.sinceMs, by: 'insertion' };
}

/** A quick look: has the probe been warm, and has it moved at all, within the span that is judged? */
function couldHoldMilk(recent: Recent): boolean {
  const fromMs = (recent.atMs.at(-1) ?? 0) - ageMostS * 1000;
  let lowC = Number.POSITIVE_INFINITY;
  let highC = Number.NEGATIVE_INFINITY;
  for (let index = recent.atMs.length - 1; index >= 0 && (recent.atMs[index] ?? 0) >= fromMs; index -= 1) {
    const tempC = recent.tempC[index] ?? 0;
    lowC = Math.min(lowC, tempC);
    highC = Math.max(highC, tempC);
  }
  return highC >= 20 && highC - lowC >= jumpLeastC * 0.8;
}

/** The earliest bin of the judged span from which one jar explains all that follows; null where none does. */
function longestStretch(recent: Recent): Stretch | null {
  const bins = smoothed(recent);
  let best: Stretch | null = null;
  for (let from = 0; from < bins.atS.length - 4; from += 1) {
    const ageS = -(bins.atS[from] ?? 0);
    if (ageS > ageMostS) continue;
    if (ageS < ageLeastS) break;
    const told = explainAsMilk(bins, from);
    if (told.missC > missMostC(told)) continue;
    if (best !== null && told.missC >= best.missC * 0.75 - 0.02) continue;
    best = { ...told, sinceMs: recent.atMs[from] ?? 0 };
  }
  return best;
}

/** What may be left unexplained: noise and coarse steps, and a little of the jump. */
function missMostC(told: { milkC: number; beforeC: number }): number {
  return 0.2 + 0.012 * Math.abs(told.milkC - told.beforeC);
}

function isFreshMilk(stretch: Stretch): boolean {
  return (
    stretch.milkC >= milkLeastC &&
    stretch.milkC <= milkMostC &&
    stretch.lagS <= lagMostS &&
    Math.abs(stretch.milkC - stretch.beforeC) >= jumpLeastC
  );
}

/** A probe that was in milk from its first reading: warm then, and falling since as slowly as only milk does. */
function judgeFirst(state: MilkStart): FoundMilk | null {
  const { first, recent } = state;
  if (first === null) return null;
  const nowC = recent.tempC.at(-1) ?? 0;
  const ageMs = (recent.atMs.at(-1) ?? 0) - first.atMs;
  const isOver = ageMs > firstWithinMs || nowC > first.tempC + 1;
  if (isOver || first.tempC < milkLeastC || first.tempC > milkMostC) {
    state.first = null;
    return null;
  }
  if (ageMs < firstAgeLeastMs || first.tempC - nowC < firstFallC) return null;
  const bins = smoothed(recent);
  const told = explainAsMilk(bins, 0);
  if (told.missC > missMostC(told)) return null;
  if (told.coolingPerMin > fastPerMin && ageMs < ageFastS * 1000) return null;
  return { sinceMs: first.atMs, by: 'first-reading' };
}
