/** Whether what a probe says can be believed, told from its readings alone. Doubted readings feed no watch. */
import type { DoubtWhy } from '../../shared/contract/event.ts';
import { feelPotTrust, openPotTrust, type PotKnown, type PotTrust } from './pot-trust.ts';

/** What is remembered of a probe's readings to doubt them by. JSON-safe, under 3 KB. */
export type Trust = {
  /** Why and since when it is doubted; null while it is believed. */
  doubt: { why: DoubtWhy; sinceMs: number } | null;
  /** The last reading that was no default or broken wire. */
  good: Heard | null;
  /** Readings in a row that are one, and since when; they feed nothing from the first on. */
  bad: { why: DoubtWhy; count: number; sinceMs: number } | null;
  /** Believable readings in a row since a doubt. */
  wellCount: number;
  /** The newest readings, oldest first, at most `newestMax`. */
  newest: Heard[];
  /** One reading each half minute, oldest first, at most `marksMax`. */
  marks: Heard[];
  /** Since when it has shown exactly one value, how often, and how fast it moved before, °C a minute. */
  same: Heard & { count: number; paceCPerMin: number };
  /** The least step between two readings seen, °C. */
  stepC: number;
  /** Whether it hangs in the milk of its pot; felt while a heat or a hold is open. */
  pot: PotTrust;
};

type Heard = { atMs: number; tempC: number };

/** Beyond these, °C, no milk, air or pot of a house is: a wire is open or shorted. */
const beyondC = { least: -45, most: 115 } as const;
/** What a one-wire thermometer shows after power-up, and what a shorted line may show, °C. */
const powerOnC = 85;
const shortedC = 0;
/** A believable reading this near, °C, and this young vouches for such a value. */
const vouchC = 10;
const vouchMs = 600_000;
/** Bad readings in a row before a person is told, and good ones before the probe is believed again. */
const badMin = 3;
const wellMin = 3;
const newestMax = 12;
/** So many jumps among the newest, each this far from both neighbours, °C, within this span: a loose contact. */
const jumpsMin = 4;
const jumpC = 2;
const jumpSpanMs = 180_000;
const marksMax = 9;
const markEveryMs = 30_000;
/** A probe that moved steadily is stuck once it has shown one value for so long and so often. */
const stuckMs = 300_000;
const stuckCount = 10;
const stuckPaceCPerMin = 0.2;
/** It must have been due to move this far, °C, or four of its own steps. */
const stuckDueC = 1.5;
/** Milk that freezes and water that boils do stand still. */
const freezesC = { least: -2, most: 0.2 } as const;
const boilsFromC = 80;

/** Returns the trust in a probe that has not been heard. */
export function openTrust(): Trust {
  return {
    doubt: null,
    good: null,
    bad: null,
    wellCount: 0,
    newest: [],
    marks: [],
    same: { atMs: 0, tempC: Number.MAX_VALUE, count: 0, paceCPerMin: 0 },
    stepC: 1,
    pot: openPotTrust(),
  };
}

/**
 * Takes over `trust` and feels one reading, not older than the one before. `usable` is false where it must feed no
 * watch, `suspect` where it may not be the milk's and no forecast should learn from it; `turned` tells that the probe
 * came into doubt, or out of it, by this reading. `pot` is what is known of the pot that it hangs in, null where in none.
 */
export function feelTrust(
  trust: Trust,
  heard: Heard,
  pot: PotKnown | null = null,
): { usable: boolean; suspect: boolean; turned: 'doubted' | 'trusted' | null } {
  const why = badWhy(trust, heard);
  if (why !== null) return { usable: false, suspect: true, turned: countBad(trust, why, heard.atMs) };
  trust.bad = null;
  trust.good = heard;
  remember(trust, heard);
  const found = wanders(trust.newest) ? 'wandering' : isStuck(trust, heard) ? 'stuck' : null;
  if (found !== null) {
    trust.wellCount = 0;
    if (trust.doubt !== null) return { usable: false, suspect: true, turned: null };
    const sinceMs = found === 'stuck' ? trust.same.atMs : (trust.newest[0]?.atMs ?? heard.atMs);
    trust.doubt = { why: found, sinceMs };
    return { usable: false, suspect: true, turned: 'doubted' };
  }
  const suspect = feelPot(trust, heard, pot);
  if (trust.doubt === null) {
    if (trust.pot.doubt === null) return { usable: true, suspect, turned: null };
    trust.doubt = { ...trust.pot.doubt };
    trust.wellCount = 0;
    return { usable: false, suspect, turned: 'doubted' };
  }
  trust.wellCount = trust.pot.doubt === null ? trust.wellCount + 1 : 0;
  if (trust.wellCount < wellMin) return { usable: false, suspect, turned: null };
  trust.doubt = null;
  return { usable: true, suspect, turned: 'trusted' };
}

/** True while a probe may not hang in the milk of its pot; outside of a pot nothing is felt. */
function feelPot(trust: Trust, heard: Heard, pot: PotKnown | null): boolean {
  if (pot !== null) return feelPotTrust(trust.pot, heard, pot).suspect;
  if (trust.pot.open !== null) trust.pot = openPotTrust();
  return false;
}

/** Why one reading cannot be believed: no temperature of a house, or a value that a broken sensor shows by default. */
function badWhy({ bad, good }: Trust, { atMs, tempC }: Heard): DoubtWhy | null {
  if (tempC < beyondC.least || tempC > beyondC.most) return 'open-or-shorted';
  // While it goes on showing a default, what vouched against it at first does so however old it gets.
  const vouches = good !== null && (bad !== null || atMs - good.atMs <= vouchMs);
  const isFar = vouches && Math.abs(tempC - good.tempC) > vouchC;
  if (isFar && tempC === powerOnC) return 'power-on';
  return isFar && tempC === shortedC ? 'open-or-shorted' : null;
}

function countBad(trust: Trust, why: DoubtWhy, atMs: number): 'doubted' | null {
  trust.bad =
    trust.bad === null || trust.bad.why !== why
      ? { why, count: 1, sinceMs: atMs }
      : { ...trust.bad, count: trust.bad.count + 1 };
  trust.wellCount = 0;
  if (trust.doubt !== null || trust.bad.count < badMin) return null;
  trust.doubt = { why, sinceMs: trust.bad.sinceMs };
  return 'doubted';
}

function remember(trust: Trust, heard: Heard): void {
  const last = trust.newest.at(-1);
  const moved = last === undefined ? 0 : Math.abs(heard.tempC - last.tempC);
  if (moved > 0.005) trust.stepC = Math.min(trust.stepC, moved);
  trust.newest.push(heard);
  if (trust.newest.length > newestMax) trust.newest.shift();
  if (heard.tempC === trust.same.tempC) trust.same.count += 1;
  else trust.same = { ...heard, count: 1, paceCPerMin: steadyPace(trust.marks) };
  const mark = trust.marks.at(-1);
  if (mark !== undefined && heard.atMs - mark.atMs < markEveryMs) return;
  trust.marks.push(heard);
  if (trust.marks.length > marksMax) trust.marks.shift();
}

/** How fast it moves, °C a minute, where both halves of the last minutes say about the same; else 0. */
function steadyPace(marks: readonly Heard[]): number {
  const first = marks[0];
  const middle = marks[marks.length >> 1];
  const last = marks.at(-1);
  if (marks.length < marksMax || first === undefined || middle === undefined || last === undefined) return 0;
  const early = paceOf(first, middle);
  const late = paceOf(middle, last);
  const isSteady = early * late > 0 && Math.abs(early) < 2.5 * Math.abs(late);
  return isSteady ? Math.min(Math.abs(early), Math.abs(late)) : 0;
}

function paceOf(from: Heard, to: Heard): number {
  return ((to.tempC - from.tempC) * 60_000) / Math.max(1, to.atMs - from.atMs);
}

function wanders(newest: readonly Heard[]): boolean {
  const first = newest[0];
  const last = newest.at(-1);
  if (newest.length < newestMax || first === undefined || last === undefined) return false;
  if (last.atMs - first.atMs > jumpSpanMs) return false;
  let jumps = 0;
  for (let place = 1; place + 1 < newest.length; place++) {
    const here = newest[place]?.tempC ?? 0;
    const before = here - (newest[place - 1]?.tempC ?? here);
    const after = here - (newest[place + 1]?.tempC ?? here);
    if (before * after > 0 && Math.min(Math.abs(before), Math.abs(after)) > jumpC) jumps += 1;
  }
  return jumps >= jumpsMin;
}

function isStuck({ same, stepC }: Trust, { atMs, tempC }: Heard): boolean {
  const spanMs = atMs - same.atMs;
  if (spanMs < stuckMs || same.count < stuckCount || same.paceCPerMin < stuckPaceCPerMin) return false;
  if (tempC >= boilsFromC || (tempC >= freezesC.least && tempC <= freezesC.most)) return false;
  // What approaches its surroundings slows down: half of its pace is counted.
  return (same.paceCPerMin * spanMs) / 120_000 > Math.max(stuckDueC, 4 * stepC);
}
