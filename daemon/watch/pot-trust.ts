/**
 * Whether a probe in a pot hangs in its milk: not on the hot bottom, where it reads too hot and jumps, and not in
 * the air, where it falls faster than any milk can. Told from its readings alone, with reasons that physics gives.
 */

import type { HeatLaw } from '../forecast/heat-law.ts';
import { lossAt } from '../forecast/heat-law.ts';
import { heatGuess } from '../forecast/heat-priors.ts';

/** What is remembered of a probe in a pot. JSON-safe, under 1.5 KB. */
export type PotTrust = {
  doubt: { why: 'touching-bottom' | 'out-of-milk'; sinceMs: number } | null;
  /** Means of readings over `binMs`, oldest first, at most `binsMax`. */
  bins: Heard[];
  open: { bin: number; sumC: number; count: number; sumMs: number } | null;
  /** Where the milk was, and how fast it moved, °C a minute, before a fall that no milk makes. */
  before: (Heard & { paceCPerMin: number }) | null;
};

type Heard = { atMs: number; tempC: number };

const binMs = 10_000;
/** Six minutes of bins: what is older tells nothing of now. */
const binsMax = 36;
/** A gap longer than this begins the looking anew. */
const gapMs = 120_000;

/** Jumps are looked at over bins this far apart: warm streaks that last for ten seconds are evened out. */
const jumpEveryMs = 30_000;
/**
 * From this middle size of jumps, °C, a probe touches the bottom: `soon` where few were seen, `sure` with more, so
 * many of them up and so many down. It does no longer where seven of ten of `calm` are small. Probes that hang free
 * stay under 0.18 in simulated and measured pots, nine of ten touching ones pass 0.27.
 */
const jumpRule = {
  soon: { count: 6, leastC: 0.45, eachWay: 2 },
  sure: { count: 10, leastC: 0.21, eachWay: 3 },
  calm: { count: 8, mostC: 0.16 },
} as const;
/** This near to the boil bubbles shake any probe, K. */
const bubblesK = 4;

/** A pot that loses all it can loses this many times what an open one usually does. */
const lossMost = 2.5;
const lossLeastCPerMin = 0.4;
/** A fall beyond that by so much, °C, is looked at; it is told once it has gone on for this long. */
const fallRule = { suspectC: 1.5, goesOnMs: 90_000, settledMs: 130_000, backlogMs: 200_000 } as const;
/** Of its pace before, what a pot keeps into which cold milk was poured. */
const keepsPace = 0.35;
/** Back in the milk: as warm as before or nearly so, °C, and moving no faster than milk, °C a minute, for so long. */
const backRule = { nearC: 3, paceCPerMin: 6, forMs: 40_000 } as const;

export function openPotTrust(): PotTrust {
  return { doubt: null, bins: [], open: null, before: null };
}

/** What is known of the pot: the table of its losses, and how much is in it. */
export type PotKnown = { law: HeatLaw; volumeL: number | null };

/**
 * Takes over `trust` and feels one reading, not older than the one before. `suspect` tells that it may not be the
 * milk's; `turned` that the probe came into doubt, or out of it, by this reading.
 */
export function feelPotTrust(
  trust: PotTrust,
  heard: Heard,
  known: PotKnown,
): { suspect: boolean; turned: 'doubted' | 'trusted' | null } {
  const wasDoubted = trust.doubt !== null;
  if (!closesBin(trust, heard)) return { suspect: wasDoubted || trust.before !== null, turned: null };
  if (trust.doubt === null) {
    judgeFall(trust, known);
    if (trust.doubt === null) judgeTouching(trust, known);
  } else if (isBack(trust)) {
    trust.doubt = null;
    trust.before = null;
    trust.bins = trust.bins.slice(-2);
  }
  const turned = wasDoubted === (trust.doubt !== null) ? null : wasDoubted ? 'trusted' : 'doubted';
  return { suspect: trust.doubt !== null || trust.before !== null, turned };
}

/** Adds a reading to the bin being filled; true where that closed one. */
function closesBin(trust: PotTrust, { atMs, tempC }: Heard): boolean {
  const bin = Math.floor(atMs / binMs);
  const { open } = trust;
  if (open !== null && bin <= open.bin) {
    open.sumC += tempC;
    open.count += 1;
    open.sumMs += atMs - open.bin * binMs;
    return false;
  }
  trust.open = { bin, sumC: tempC, count: 1, sumMs: atMs - bin * binMs };
  if (open === null) return false;
  const mean = { atMs: open.bin * binMs + open.sumMs / open.count, tempC: open.sumC / open.count };
  const last = trust.bins.at(-1);
  if (last !== undefined && mean.atMs - last.atMs > gapMs) {
    trust.bins = [];
    if (trust.doubt === null) trust.before = null;
  }
  trust.bins.push(mean);
  if (trust.bins.length > binsMax) trust.bins.shift();
  return true;
}

/** Jumps all the time, not once: the middle one counts, so that a stir, a lid or cold milk is none. */
function judgeTouching(trust: PotTrust, { law }: PotKnown): void {
  const nowC = trust.bins.at(-1)?.tempC ?? 0;
  if (nowC > law.boilsC - bubblesK) return;
  const jumps = jumpsOf(trust.bins);
  if (!jumpsBy(jumps, jumpRule.soon) && !jumpsBy(jumps, jumpRule.sure)) return;
  trust.before = null;
  trust.doubt = { why: 'touching-bottom', sinceMs: Math.round(trust.bins[0]?.atMs ?? 0) };
}

function jumpsBy(
  jumps: readonly number[],
  { count, leastC, eachWay }: { count: number; leastC: number; eachWay: number },
): boolean {
  if (jumps.length < count) return false;
  const newest = jumps.slice(-count);
  const up = newest.filter((jumpC) => jumpC > leastC).length;
  const down = newest.filter((jumpC) => jumpC < -leastC).length;
  // The end of a fall or of a climb bends one way only.
  return Math.min(up, down) >= eachWay && sizeAt(newest, 0.5) > leastC;
}

/** How far each mean of `jumpEveryMs` lies off the line of its neighbours, by its scatter. */
function jumpsOf(bins: readonly Heard[]): number[] {
  const means: Heard[] = [];
  let count = 0;
  for (const { atMs, tempC } of bins) {
    const last = means.at(-1);
    if (last !== undefined && Math.floor(last.atMs / jumpEveryMs) === Math.floor(atMs / jumpEveryMs)) {
      count += 1;
      last.tempC += (tempC - last.tempC) / count;
      last.atMs += (atMs - last.atMs) / count;
    } else {
      means.push({ atMs, tempC });
      count = 1;
    }
  }
  return means.slice(1, -1).map((here, place) => {
    const before = means[place] as Heard;
    const after = means[place + 2] as Heard;
    const share = (here.atMs - before.atMs) / (after.atMs - before.atMs);
    return (here.tempC - before.tempC - share * (after.tempC - before.tempC)) / 1.22;
  });
}

/** The size under which so many of the jumps are. */
function sizeAt(jumps: readonly number[], share: number): number {
  return jumps.map(Math.abs).sort((a, b) => a - b)[Math.floor((jumps.length - 1) * share)] ?? 0;
}

/** A fall that no milk makes: told where it goes on, or where the pot does not climb on after it as it did before. */
function judgeFall(trust: PotTrust, known: PotKnown): void {
  const now = trust.bins.at(-1) as Heard;
  trust.before ??= fallFrom(trust.bins, now, known);
  const { before } = trust;
  if (before === null) return;
  const spanMs = now.atMs - before.atMs;
  const fellC = before.tempC - now.tempC;
  if (fellC < fallRule.suspectC / 2 || spanMs > fallRule.backlogMs) {
    trust.before = null;
    return;
  }
  const paceC = paceOver(trust.bins, 50_000);
  const goesOn = spanMs >= fallRule.goesOnMs && paceC < -lossMostOf(now.tempC, known);
  const staysDown = spanMs >= fallRule.settledMs && paceC < keepsPace * before.paceCPerMin;
  if (goesOn || (staysDown && before.paceCPerMin > 0.3)) {
    trust.doubt = { why: 'out-of-milk', sinceMs: Math.round(before.atMs) };
  } else if (spanMs >= fallRule.settledMs) {
    trust.before = null;
    trust.bins = trust.bins.slice(-3);
  }
}

/** The newest height from which it fell faster than the pot can lose; null where it did not. */
function fallFrom(bins: readonly Heard[], now: Heard, known: PotKnown): PotTrust['before'] {
  let top: Heard | null = null;
  let place = 0;
  for (const [at, bin] of bins.entries()) {
    if (now.atMs - bin.atMs > 100_000 || (top !== null && bin.tempC < top.tempC)) continue;
    top = bin;
    place = at;
  }
  if (top === null) return null;
  const mostC = (lossMostOf(top.tempC, known) * (now.atMs - top.atMs)) / 60_000;
  if (top.tempC - now.tempC - mostC < fallRule.suspectC) return null;
  return { ...top, paceCPerMin: paceOver(bins.slice(0, place + 1), 90_000) };
}

/** The pace over the last `spanMs` of bins, °C a minute. */
function paceOver(bins: readonly Heard[], spanMs: number): number {
  const last = bins.at(-1);
  const first = last && bins.find(({ atMs }) => last.atMs - atMs <= spanMs + 5_000);
  if (last === undefined || first === undefined || last.atMs - first.atMs < binMs / 2) return 0;
  return ((last.tempC - first.tempC) * 60_000) / (last.atMs - first.atMs);
}

/** The fastest that milk in a pot cools by itself at a temperature, °C a minute. */
function lossMostOf(tempC: number, { law, volumeL }: PotKnown): number {
  const size = (3 / Math.max(0.5, volumeL ?? 1.5)) ** (1 / 3);
  const { open, wall } = heatGuess;
  const usual = wall.mean * lossAt(law, law.wall, tempC) + open.mean * lossAt(law, law.vapour, tempC);
  return Math.max(lossLeastCPerMin, lossMost * size * usual);
}

function isBack({ bins, before, doubt }: PotTrust): boolean {
  if (doubt?.why === 'touching-bottom') {
    const jumps = jumpsOf(bins);
    const { count, mostC } = jumpRule.calm;
    return jumps.length >= count && sizeAt(jumps.slice(-count), 0.7) < mostC;
  }
  const last = bins.at(-1);
  if (last === undefined || before === null) return true;
  const lately = bins.filter(({ atMs }) => last.atMs - atMs <= backRule.forMs);
  const isNear = lately.every(({ tempC }) => tempC >= before.tempC - backRule.nearC);
  return isNear && lately.length >= 3 && Math.abs(paceOver(bins, backRule.forMs)) <= backRule.paceCPerMin;
}
