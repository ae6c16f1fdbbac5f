/**
 * The clock of a hold: how long readings have been good without a break. It counts spans between good readings
 * no further apart than the rule lets; a longer gap, or one reading that is not good, begins it again.
 */
import type { HoldBreak } from '../../shared/contract/hold.ts';

/** Plain JSON, at most about 8 KB. */
export type HoldClock = {
  /** The first and the newest good reading of the run that counts; null while there is none. */
  startMs: number | null;
  lastMs: number | null;
  /** Good readings of the run, oldest first, from which it can begin again where a late one breaks it. */
  marks: number[];
  leastC: number;
  mostC: number;
  /** The gaps of a run whose probe's interval is not known yet: [from, to]. */
  unjudged: [number, number][];
  /** When the run came to the whole span; null before. */
  provedMs: number | null;
  /** True once a run that was whole is over: what comes later neither adds nor breaks. */
  closed: boolean;
};

/** A clock that began again: why, when, and how much was counted by then. */
export type Broken = { why: HoldBreak; atMs: number; countedMs: number };

/** Marks kept; when one more comes the older half is thinned to every second. */
export const marksMax = 600;

/** The longest gap that counts: three of the probe's intervals, 10 s at least and 60 s at the most. */
export function gapAllowedMs(intervalMs: number): number {
  return Math.min(60_000, Math.max(10_000, 3 * intervalMs));
}

export function openHoldClock(): HoldClock {
  return {
    startMs: null,
    lastMs: null,
    marks: [],
    leastC: 0,
    mostC: 0,
    unjudged: [],
    provedMs: null,
    closed: false,
  };
}

/** How long the run that counts has lasted, ms. */
export function countedMs({ startMs, lastMs }: HoldClock): number {
  return startMs === null || lastMs === null ? 0 : lastMs - startMs;
}

export type HoldReading = {
  atMs: number;
  tempC: number;
  /** What is wrong with it; null where it is good. */
  bad: HoldBreak | null;
  /** The longest gap that counts; null while the probe's interval is not known. */
  allowedMs: number | null;
  holdMs: number;
};

/** Takes over `clock` and feeds a reading in order; returns what broke the run, null where nothing did. */
export function feedHoldClock(clock: HoldClock, reading: HoldReading): Broken | null {
  const { atMs, tempC, bad, allowedMs, holdMs } = reading;
  if (clock.provedMs !== null) {
    clock.closed ||= bad !== null || (allowedMs !== null && atMs - (clock.lastMs ?? atMs) > allowedMs);
    if (clock.closed) return null;
  }
  if (bad !== null) return breakClock(clock, { why: bad, atMs });
  const broken = judgeGaps(clock, atMs, allowedMs);
  if (clock.startMs === null) {
    clock.startMs = atMs;
    clock.leastC = tempC;
    clock.mostC = tempC;
  }
  clock.lastMs = atMs;
  clock.leastC = Math.min(clock.leastC, tempC);
  clock.mostC = Math.max(clock.mostC, tempC);
  addMark(clock, atMs);
  if (atMs - clock.startMs >= holdMs && clock.unjudged.length === 0) clock.provedMs ??= atMs;
  return broken;
}

/**
 * Takes over `clock` and feeds a reading that came late: it proves nothing, and where it is not good and lies in
 * the run, the run begins again with the next good reading after it.
 */
export function feedLate(
  clock: HoldClock,
  reading: { atMs: number; bad: HoldBreak | null; holdMs: number },
): Broken | null {
  const { startMs, lastMs } = clock;
  if (reading.bad === null || startMs === null || lastMs === null) return null;
  if (reading.atMs < startMs || reading.atMs > lastMs) return null;
  const broken: Broken = { why: 'late-reading', atMs: reading.atMs, countedMs: lastMs - startMs };
  const after = clock.marks.filter((markMs) => markMs > reading.atMs);
  clock.startMs = after[0] ?? null;
  clock.marks = after;
  clock.unjudged = clock.unjudged.filter(([fromMs]) => fromMs > reading.atMs);
  if (clock.startMs === null) clock.lastMs = null;
  const proved = after.find((markMs) => markMs - (after[0] as number) >= reading.holdMs);
  clock.provedMs = proved ?? null;
  if (clock.closed && proved === undefined) Object.assign(clock, openHoldClock());
  return broken;
}

/** Takes over `clock` and begins it again; null where it did not run. */
export function breakClock(clock: HoldClock, { why, atMs }: { why: HoldBreak; atMs: number }): Broken | null {
  if (clock.startMs === null) return null;
  const broken = { why, atMs, countedMs: countedMs(clock) };
  Object.assign(clock, openHoldClock());
  return broken;
}

/** Takes over `clock` with every instant later by `deltaMs`. */
export function shiftHoldClock(clock: HoldClock, deltaMs: number): HoldClock {
  const later = (atMs: number | null) => (atMs === null ? null : atMs + deltaMs);
  return {
    ...clock,
    startMs: later(clock.startMs),
    lastMs: later(clock.lastMs),
    marks: clock.marks.map((markMs) => markMs + deltaMs),
    unjudged: clock.unjudged.map(([fromMs, toMs]): [number, number] => [fromMs + deltaMs, toMs + deltaMs]),
    provedMs: later(clock.provedMs),
  };
}

/** A gap that is too long begins the run again; one before the interval is known is judged once it is. */
function judgeGaps(clock: HoldClock, atMs: number, allowedMs: number | null): Broken | null {
  const { lastMs } = clock;
  if (lastMs === null) return null;
  if (allowedMs === null) {
    if (atMs - lastMs > gapAllowedMs(Number.POSITIVE_INFINITY))
      return breakClock(clock, { why: 'gap', atMs });
    clock.unjudged.push([lastMs, atMs]);
    return null;
  }
  let broken: Broken | null = null;
  for (const [fromMs, toMs] of clock.unjudged.splice(0)) {
    if (toMs - fromMs <= allowedMs || clock.startMs === null) continue;
    broken = { why: 'gap', atMs: toMs, countedMs: fromMs - clock.startMs };
    clock.marks = clock.marks.filter((markMs) => markMs >= toMs);
    clock.startMs = toMs;
    clock.provedMs = null;
  }
  if (atMs - lastMs > allowedMs) broken = breakClock(clock, { why: 'gap', atMs }) ?? broken;
  return broken;
}

function addMark(clock: HoldClock, atMs: number): void {
  const { marks } = clock;
  marks.push(atMs);
  if (marks.length <= marksMax) return;
  // The first stays: it is where the run began.
  const half = marks.length >> 1;
  clock.marks = marks.filter((_, place) => place === 0 || place > half || place % 2 === 0);
}
