/**
 * The start of a chill, felt from one probe: the instant at which it came into fresh milk. Found by the jump
 * and by what follows it (milk-stretch.ts), not by a temperature alone.
 */

import { explainAsMilk, explainAsTouch, type MilkStory, type Minutes } from './milk-stretch.ts';
import { addReading, minutesFrom, openRecent, type Recent } from './recent.ts';

/** What is remembered of one idle probe. JSON-safe, under 3 KB. */
export type MilkStart = {
  recent: Recent;
  /** The probe's very first reading; null before it, and once it can tell nothing more. */
  first: { atMs: number; tempC: number } | null;
  /** When the last minutes were last judged. */
  judgedMs: number;
  /** No milk is looked for before this: it has been found already. */
  foundMs: number;
  /** Where the probe last rested for long outside milk: the room, mostly. */
  restC: number | null;
  /** Since when it has been resting near `restingC`. */
  restingSinceMs: number;
  restingC: number;
  /** The probe's lag in milk, as learned from earlier insertions; null before. */
  lagS: number | null;
};

export type FoundMilk = { sinceMs: number; by: 'insertion' | 'first-reading' };

/** Fresh milk as it comes to the jar: udder-warm at most (ewes 39 °C), strained and carried at least. */
const milkLeastC = 27.3;
const milkMostC = 39.7;
/** A jump smaller than this is not told from a hand's warmth wandering. */
const jumpLeastC = 1.2;
/** The jump is judged while it is this old; a hand or a rinse has shown itself by the first of them. */
const ageLeastS = 170;
const ageFastS = 210;
const ageMostS = 330;
const movesC = 0.75;
const movesWithinMs = 30_000;
const slopeSpanMs = 15_000;
const steeperFall = 2.5;
const breakShare = 0.5;
const coarseS = 12;
const jumpAloneC = 3;
const smallSlower = 1.25;
const smallSlowerS = 2;
const travelC = 4;
const travelMs = 150_000;
const sameMs = 25_000;
const roughMostC = 0.25;
const judgeEveryMs = 10_000;
/** Milk that cools faster than this and has lost this much is in a bath, or no milk: it is looked at for longer. */
const fastCoolingS = 1000;
const fastLossC = 3;
/** A probe slower than this in milk is a probe in air. */
const lagMostS = 70;
/** A probe this much slower than it has been in milk before is in air. */
const slowerMost = 1.6;
const slowerMostS = 3;
const slowerMostCoarseS = 8;
/** Noise that no story can explain. */
const noiseC = 0.03;
/** Air that a touched probe may come back to: from a freezer's to a room's. */
const airMostC = 27;
const coldMostC = 12;
const coldLeastC = -25;
/** In still air a sheath is at most this much slower than in milk. */
const airSlownessMost = 20;
/** Resting means within this band for this long. */
const restBandC = 1;
const restLeastMs = 10 * 60_000;
/** A first reading in milk is told by its slow fall within this time. */
const firstWithinMs = 40 * 60_000;
const firstAgeLeastMs = 150_000;
const firstFallC = 0.6;

/** Returns the feeling for a start on a probe of which nothing is known. */
export function openMilkStart(before?: MilkStart): MilkStart {
  return {
    lagS: before?.lagS ?? null,
    recent: openRecent(),
    first: null,
    judgedMs: 0,
    foundMs: 0,
    restC: before?.restC ?? null,
    restingSinceMs: 0,
    restingC: -300,
  };
}

/**
 * Takes over `state` and feels one reading. `found.sinceMs` is when the milk came on the probe, told 3–5 min
 * after. Cheap (under 1 µs) unless the probe has just warmed.
 */
export function feelStart(
  state: MilkStart,
  reading: { atMs: number; tempC: number },
): { state: MilkStart; found: FoundMilk | null } {
  const { recent } = state;
  if (recent.openBin < 0) state.first = { atMs: reading.atMs, tempC: reading.tempC };
  if (!addReading(recent, reading)) return { state, found: null };
  feelRest(state);
  const newestMs = recent.atMs.at(-1) ?? 0;
  if (newestMs - state.judgedMs < judgeEveryMs) return { state, found: null };
  state.judgedMs = newestMs;
  const found = judgeInsertion(state) ?? judgeFirst(state);
  if (found !== null) {
    state.foundMs = newestMs;
    state.first = null;
  }
  return { state, found };
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
  const { recent } = state;
  if (!couldHoldMilk(recent)) return null;
  const best = earliestMilk(state);
  if (best === null) return null;
  const { story } = best;
  const ageS = ((recent.atMs.at(-1) ?? 0) - best.sinceMs) / 1000;
  const lostC = story.milkC - (recent.tempC.at(-1) ?? 0);
  const isFast = isFastCooling(story, lostC);
  if (isFast && ageS < ageFastS) return null;
  if (ageS < 60 + 2.5 * story.lagS) return null;
  if (isRoomAgain(state, story)) return null;
  if (!beatsTouch(state, best, { isFast, lostC })) return null;
  learnLag(state, story.lagS);
  return { sinceMs: movedMs(recent, best), by: 'insertion' };
}

/** The milk must explain the minutes better than a touch: the more so, the likelier that touch is by itself. */
function beatsTouch(state: MilkStart, best: Candidate, given: { isFast: boolean; lostC: number }): boolean {
  const { story, minutes } = best;
  const airLagMostS = state.lagS === null ? Infinity : airSlownessMost * state.lagS;
  const shares = sharesOfTouch(best, given);
  const warm = { leastC: coldMostC, mostC: Math.max(airMostC, (state.restC ?? 0) + 1) };
  const warmC = explainAsTouch(minutes, warm, airLagMostS).missC;
  if (story.missC ** 2 + noiseC ** 2 > shares.warm ** 2 * (warmC ** 2 + noiseC ** 2)) return false;
  const coldC = explainAsTouch(minutes, { leastC: coldLeastC, mostC: coldMostC }, airLagMostS).missC;
  return story.missC ** 2 + noiseC ** 2 <= shares.cold ** 2 * (coldC ** 2 + noiseC ** 2);
}

/** Probes are laid on the table every day, warm into the fridge or the freezer seldom. */
function sharesOfTouch(
  best: Candidate,
  { isFast, lostC }: { isFast: boolean; lostC: number },
): { warm: number; cold: number } {
  const { story, minutes, isSharp } = best;
  if (!isSharp) return isFast ? { warm: 0.5, cold: 0.6 } : { warm: 0.65, cold: 0.75 };
  if (isFast) return story.coolingS < 400 ? { warm: 0.7, cold: 0.85 } : { warm: 0.85, cold: 1.05 };
  const fell = minutes.beforeC > story.milkC && lostC > 1.2;
  return fell ? { warm: 0.8, cold: 1 } : { warm: 1.1, cold: 1.1 };
}

/** The geometric mean of the lags of the insertions found, the latest counting 3 in 10. */
function learnLag(state: MilkStart, lagS: number): void {
  state.lagS = state.lagS === null ? lagS : Math.round(10 * state.lagS ** 0.7 * lagS ** 0.3) / 10;
}

/** The last bin before the probe moved: an early start of the story may stand some seconds before. */
function movedMs(recent: Recent, best: Candidate): number {
  const stillC = Math.max(0.3, 0.06 * Math.abs(best.story.milkC - best.minutes.beforeC));
  let index = recent.atMs.indexOf(best.sinceMs);
  while (Math.abs((recent.tempC[index + 1] ?? Number.NaN) - best.minutes.beforeC) <= stillC) index += 1;
  const atMs = recent.atMs[index] ?? best.sinceMs;
  return Math.round(atMs === best.sinceMs ? atMs + best.story.lateS * 1000 : atMs);
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

type Candidate = { sinceMs: number; minutes: Minutes; story: MilkStory; isSharp: boolean };

/**
 * The earliest bin of the judged span from which one jar explains all that follows. A probe forgets what it
 * was in before, so every later bin is explained as well; the earliest is where it came in.
 */
function earliestMilk(state: MilkStart): Candidate | null {
  const { recent } = state;
  const newestMs = recent.atMs.at(-1) ?? 0;
  let best: Candidate | null = null;
  for (const [from, sinceMs] of recent.atMs.entries()) {
    const ageS = (newestMs - sinceMs) / 1000;
    if (ageS > ageMostS || sinceMs < state.foundMs) continue;
    if (ageS < ageLeastS) break;
    // A thick sheath lets the first bins fit badly: what follows within seconds and fits much better is the same coming in.
    if (best !== null && sinceMs - best.sinceMs > sameMs) break;
    if (!startsMoving(recent, from)) continue;
    const minutes = minutesFrom(recent, from);
    if (minutes.atS.length < 5) break;
    const story = explainAsMilk(minutes);
    if (!isFreshMilk(story, minutes.beforeC) || !isLagOfProbe(state, story, minutes)) continue;
    if (story.missC > missMostC(story, minutes)) continue;
    if (best !== null && story.missC >= 0.7 * best.story.missC - 0.02) continue;
    const isSharp = isBreak(recent, from, story);
    const isSmall = Math.abs(story.milkC - minutes.beforeC) < jumpAloneC;
    if (isSmall && !(isSharp && isSmallInsertion(state, from, story))) continue;
    best = { sinceMs, minutes, story, isSharp };
  }
  return best;
}

/** The milk cools as only a bath cools it, and has shown it. */
function isFastCooling(story: MilkStory, lostC: number): boolean {
  return story.coolingS <= fastCoolingS && lostC > fastLossC;
}

/** The lag is what this probe has shown in milk before; what is much slower is air, what is much faster a touch. */
function isLagOfProbe(state: MilkStart, story: MilkStory, minutes: Minutes): boolean {
  if (story.lagS > lagMostS) return false;
  if (state.lagS === null) return true;
  const isCoarse = (minutes.atS[0] ?? 0) > coarseS;
  if (story.lagS > slowerMost * state.lagS + (isCoarse ? slowerMostCoarseS : slowerMostS)) return false;
  return isCoarse || story.lagS >= 0.5 * state.lagS - 3;
}

/**
 * A small jump counts only where the probe came from further away, a rinse or a hand on its way to the milk,
 * and where it moved as promptly as this probe does in milk; a sunny sill wanders, a warm probe laid cold falls.
 */
function isSmallInsertion(state: MilkStart, from: number, story: MilkStory): boolean {
  const { recent } = state;
  const lostC = story.milkC - (recent.tempC.at(-1) ?? 0);
  if (isFastCooling(story, lostC)) return false;
  if (state.lagS !== null && story.lagS > smallSlower * state.lagS + smallSlowerS) return false;
  const earliestMs = (recent.atMs[from] ?? 0) - travelMs;
  return recent.tempC.some(
    (tempC, index) =>
      index < from && (recent.atMs[index] ?? 0) >= earliestMs && Math.abs(tempC - story.milkC) >= travelC,
  );
}

/** The probe moves within the next seconds: nothing begins at a bin that is followed by more of the same. */
function startsMoving(recent: Recent, from: number): boolean {
  const fromMs = recent.atMs[from] ?? 0;
  const fromC = recent.tempC[from] ?? 0;
  for (let index = from + 1; index < recent.atMs.length; index += 1) {
    if (Math.abs((recent.tempC[index] ?? 0) - fromC) >= movesC) return true;
    if ((recent.atMs[index] ?? 0) - fromMs >= movesWithinMs) return false;
  }
  return false;
}

/**
 * Something new begins at a bin: the slope that the story starts with is not the slope that was there. A probe
 * that cools in air from a rinse slows by itself, so a fall into milk must be much steeper than the one before.
 */
function isBreak(recent: Recent, from: number, story: MilkStory): boolean {
  const fromMs = recent.atMs[from] ?? 0;
  const fromC = recent.tempC[from] ?? 0;
  const before = recent.atMs.findLastIndex((atMs) => atMs <= fromMs - slopeSpanMs);
  if (before < 0) return true;
  const slopeBefore = ((fromC - (recent.tempC[before] ?? 0)) * 1000) / (fromMs - (recent.atMs[before] ?? 0));
  const slopeAfter = (story.milkC - fromC) / story.lagS;
  if (slopeAfter < 0) return slopeAfter < steeperFall * slopeBefore;
  return Math.abs(slopeAfter - slopeBefore) >= breakShare * slopeAfter;
}

/** What may be left unexplained: noise and coarse steps, and a little of the jump. */
function missMostC(story: MilkStory, minutes: Minutes): number {
  return 0.08 + roughnessC(minutes.tempC) + 0.014 * Math.abs(story.milkC - minutes.beforeC);
}

/** The noise of the later readings: of their second differences, which slow milk has none of. */
function roughnessC(tempC: number[]): number {
  let square = 0;
  let count = 0;
  for (let index = Math.max(2, tempC.length - 10); index < tempC.length; index += 1) {
    square += ((tempC[index] ?? 0) - 2 * (tempC[index - 1] ?? 0) + (tempC[index - 2] ?? 0)) ** 2;
    count += 1;
  }
  return count === 0 ? 0 : Math.min(roughMostC, Math.sqrt(square / count / 6));
}

function isFreshMilk(story: MilkStory, beforeC: number): boolean {
  return (
    story.milkC >= milkLeastC && story.milkC <= milkMostC && Math.abs(story.milkC - beforeC) >= jumpLeastC
  );
}

function isRoomAgain(state: MilkStart, story: MilkStory): boolean {
  return state.restC !== null && story.coolingS > 4000 && Math.abs(story.milkC - state.restC) < 1.2;
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
  const minutes = minutesFrom(recent, 0);
  const story = explainAsMilk(minutes);
  if (story.missC > missMostC(story, minutes)) return null;
  if (story.coolingS <= fastCoolingS && ageMs < ageFastS * 1000) return null;
  return { sinceMs: first.atMs, by: 'first-reading' };
}
