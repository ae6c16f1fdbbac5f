/**
 * The end of a chill, felt from its probe: lifted out of the milk, or put into another jar. Milk warms and
 * cools slowly; what moves faster than milk can, and goes on moving, is the probe alone.
 */

import { feelStart, type MilkStart, openMilkStart } from './milk-start.ts';

/** What is remembered while a chill is open. JSON-safe, under 4 KB. */
export type MilkEnd = {
  start: MilkStart;
  openedMs: number | null;
  /** True once the probe has been seen at rest in its milk: before, a rise is the probe still warming up. */
  settled: boolean;
  judgedMs: number;
};

export type LeftMilk = { atMs: number; why: 'taken-out' | 'new-milk' };

const judgeEveryMs = 10_000;
/** A rise at least this large is no stirring of a layered jar, when it also lasts. */
const riseLeastC = 4;
/** Milk in a jar on the table warms 0.3 °C a minute at most (0.2 L of glass, 18 °C colder than the room). */
const milkWarmsPerMin = 0.6;
/** How long a rise must have lasted: a shaken jar has turned down again by then. */
const riseAgeS = 130;
/** Above this the probe may be in new milk, which takes longer to tell. */
const warmC = 27;
const settleS = 60;

/** Returns the feeling for the end of a chill that has just begun. */
export function openMilkEnd(before?: MilkStart): MilkEnd {
  return { start: openMilkStart(before), openedMs: null, settled: false, judgedMs: 0 };
}

/**
 * Takes over `state` and feels one reading; `left.atMs` is when the probe left the milk or came into the new
 * one, told within 5 min. Door openings, gaps, a shaken jar and a jar moved to ice are no end.
 */
export function feelEnd(
  state: MilkEnd,
  reading: { atMs: number; tempC: number },
): { state: MilkEnd; left: LeftMilk | null } {
  state.openedMs ??= reading.atMs;
  const { found } = feelStart(state.start, reading);
  if (found !== null) {
    if (state.settled && found.by === 'insertion')
      return { state, left: { atMs: found.sinceMs, why: 'new-milk' } };
    state.start = openMilkStart(state.start);
    state.settled = true;
    return { state, left: null };
  }
  const newestMs = state.start.recent.atMs.at(-1) ?? 0;
  if (newestMs - state.judgedMs < judgeEveryMs) return { state, left: null };
  state.judgedMs = newestMs;
  state.settled ||= newestMs - state.openedMs > settleS * 1000;
  return { state, left: state.settled ? judgeRise(state) : null };
}

/** A rise that began abruptly, faster than milk warms, and has lasted. */
function judgeRise(state: MilkEnd): LeftMilk | null {
  const { atMs, tempC } = state.start.recent;
  const newestMs = atMs.at(-1) ?? 0;
  const nowC = tempC.at(-1) ?? 0;
  const lowC = Math.min(...tempC);
  const roseC = nowC - lowC;
  if (roseC < riseLeastC || nowC > warmC) return null;
  const rise = tempC.findLastIndex((here) => here <= lowC + Math.max(0.3, 0.1 * roseC));
  const ageS = (newestMs - (atMs[rise] ?? 0)) / 1000;
  if (ageS < riseAgeS || (roseC * 60) / ageS < milkWarmsPerMin) return null;
  const lastMinute = tempC.filter((_, index) => (atMs[index] ?? 0) >= newestMs - 60_000);
  const turnedDown = Math.max(...lastMinute) - nowC > 0.5 || nowC < (lastMinute[0] ?? nowC) - 0.3;
  return turnedDown ? null : { atMs: atMs[rise] ?? 0, why: 'taken-out' };
}
