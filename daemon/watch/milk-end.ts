/**
 * The end of a chill, felt from its probe: lifted out of the milk. Milk warms slowly; what moves faster than
 * milk can, and goes on moving, is the probe alone. (Another jar is felt as a start.)
 */
import { addReading, openRecent, type Recent } from './recent.ts';

/** What is remembered while a chill is open. JSON-safe, under 3 KB. */
export type MilkEnd = {
  recent: Recent;
  openedMs: number | null;
  judgedMs: number;
};

export type LeftMilk = { atMs: number; why: 'taken-out' | 'new-milk' };

const judgeEveryMs = 10_000;
/** Less movement than this within the minutes remembered is looked at no further. */
const movesC = 4;
/** Before, a rise is the probe still warming up in its milk. */
const settleMs = 60_000;

/** What happened is told by what was before: this much of it must be remembered. */
const knownBeforeMs = 60_000;

/** A rise at least this large is no stirring of a layered jar, when it also lasts. */
const riseLeastC = 4;
/** Milk in a jar on the table warms 0.3 °C a minute at most (0.2 L of glass, 18 °C colder than the room). */
const milkWarmsPerMin = 0.6;
/** How long a rise must have lasted: a shaken jar has turned down again by then. */
const riseAgeS = 130;
/** Above this the probe may be in new milk, which takes longer to tell. */
const warmC = 27;

/** No stirring lifts a probe by this much; a hand or a rinse does. */
const kickC = 10;
/** A kick has passed when the probe has come down from it by this much, */
const kickOverC = 3;
/** and the probe is back in its milk where it reads as before within this. */
const backC = 2;
/** A kick that has not passed by then, and is no new milk, is some other warm place. */
const kickLastsS = 300;

/** Milk loses at most a third of its warmth in a minute (0.2 L in stirred ice); a probe in cold air loses half. */
const fallShare = 0.5;
const fallLeastC = 5;
const fallSpanMs = 60_000;
/** A fall is looked at for this long before it is told, since a probe looked at comes back. */
const fallSeenMs = 90_000;
/** Milk does not pass its freezing point within minutes. */
const thawedC = 1;
const frozenC = -3;
const frozenWithinMs = 100_000;

/** Returns the feeling for the end of a chill that has just begun. */
export function openMilkEnd(): MilkEnd {
  return { recent: openRecent(), openedMs: null, judgedMs: 0 };
}

/**
 * Takes over `state` and feels one reading; `left.atMs` is when the probe left the milk, told within 5 min.
 * Door openings, gaps, a shaken jar and a jar moved to ice are no end.
 */
export function feelEnd(
  state: MilkEnd,
  reading: { atMs: number; tempC: number },
): { state: MilkEnd; left: LeftMilk | null } {
  state.openedMs ??= reading.atMs;
  if (!addReading(state.recent, reading)) return { state, left: null };
  const newestMs = state.recent.atMs.at(-1) ?? 0;
  if (newestMs - state.judgedMs < judgeEveryMs) return { state, left: null };
  state.judgedMs = newestMs;
  if (newestMs - state.openedMs <= settleMs) return { state, left: null };
  const { tempC } = state.recent;
  if (Math.max(...tempC) - Math.min(...tempC) < movesC) return { state, left: null };
  const leftMs = riseMs(state.recent) ?? kickMs(state.recent) ?? fallMs(state.recent);
  return { state, left: leftMs === null ? null : { atMs: leftMs, why: 'taken-out' } };
}

/** The first bin before which enough is remembered to know where the milk was. */
function beforeEnds(atMs: readonly number[]): number {
  const oldestMs = atMs[0] ?? 0;
  const first = atMs.findIndex((ms) => ms - oldestMs >= knownBeforeMs);
  return first < 0 ? atMs.length : first;
}

/** A rise that began abruptly, faster than milk warms, and has lasted: the air of the room, mostly. */
function riseMs({ atMs, tempC }: Recent): number | null {
  const newestMs = atMs.at(-1) ?? 0;
  const nowC = tempC.at(-1) ?? 0;
  const lowC = Math.min(...tempC);
  const roseC = nowC - lowC;
  if (roseC < riseLeastC || nowC > warmC) return null;
  const rise = tempC.findLastIndex((here) => here <= lowC + Math.max(0.3, 0.1 * roseC));
  const ageS = (newestMs - (atMs[rise] ?? 0)) / 1000;
  if (ageS < riseAgeS || (roseC * 60) / ageS < milkWarmsPerMin || rise < beforeEnds(atMs)) return null;
  if (Math.abs(nowC - Math.max(...tempC.slice(0, rise + 1))) <= backC) return null;
  const lastMinute = tempC.filter((_, index) => (atMs[index] ?? 0) >= newestMs - 60_000);
  const turnedDown = Math.max(...lastMinute) - nowC > 0.5 || nowC < (lastMinute[0] ?? nowC) - 0.3;
  return turnedDown ? null : (atMs[rise] ?? 0);
}

/** A hand or a rinse that lifted the probe far, after which it did not come back to its milk. */
function kickMs({ atMs, tempC }: Recent): number | null {
  const peak = tempC.indexOf(Math.max(...tempC));
  const peakC = tempC[peak] ?? 0;
  const beforeC = Math.min(...tempC.slice(0, peak + 1));
  if (peakC - beforeC < kickC) return null;
  const kick = tempC.slice(0, peak + 1).findLastIndex((here) => here <= beforeC + 0.1 * (peakC - beforeC));
  const nowC = tempC.at(-1) ?? 0;
  const ageS = ((atMs.at(-1) ?? 0) - (atMs[kick] ?? 0)) / 1000;
  const isOver = ageS >= riseAgeS && peakC - nowC >= kickOverC && nowC < warmC;
  if ((!isOver && ageS < kickLastsS) || kick < beforeEnds(atMs)) return null;
  const earlierC = Math.max(...tempC.slice(0, kick + 1));
  const isBack = Math.abs(nowC - beforeC) <= backC || Math.abs(nowC - earlierC) <= backC;
  return isBack ? null : (atMs[kick] ?? 0);
}

/** A fall faster than the smallest jar's in stirred ice, or past the freezing point: the air of a cold place. */
function fallMs({ atMs, tempC }: Recent): number | null {
  const nowC = tempC.at(-1) ?? 0;
  const newestMs = atMs.at(-1) ?? 0;
  const thawed = tempC.findLastIndex((here) => here >= thawedC);
  const thawedMs = atMs[thawed] ?? Number.NEGATIVE_INFINITY;
  if (nowC <= frozenC && newestMs - thawedMs <= frozenWithinMs) return thawedMs;
  for (let from = Math.max(1, beforeEnds(atMs)); from < atMs.length; from += 1) {
    // One reading alone is a slip of the sensor.
    const fromC = Math.min(tempC[from] ?? 0, tempC[from - 1] ?? 0);
    if (newestMs - (atMs[from] ?? 0) < fallSeenMs) return null;
    const lossC = Math.max(fallLeastC, fallShare * (fromC + 1));
    const cameBack = Math.min(...tempC.slice(0, from)) <= nowC + backC;
    if (nowC > fromC - fallLeastC || cameBack) continue;
    const lost = tempC.findIndex((here, index) => index > from && here <= fromC - lossC);
    if (lost < 0 || (atMs[lost] ?? 0) - (atMs[from] ?? 0) > fallSpanMs) continue;
    const last = tempC.slice(0, lost).findLastIndex((here) => here >= fromC - 0.1 * lossC);
    return atMs[last] ?? null;
  }
  return null;
}
