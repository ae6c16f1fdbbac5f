/** The last minutes of one probe, thinned to bins in data time: what insertion and removal are felt from. */

import type { Minutes } from './milk-stretch.ts';

/** Bins of the last `keptMs`, oldest first. JSON-safe, at most about 2.5 KB. */
export type Recent = {
  atMs: number[];
  tempC: number[];
  /** The bin being filled: its number (instant over `binMs`), its newest instant and its readings. */
  openBin: number;
  openAtMs: number;
  openC: number[];
};

/** Readings closer than this are one bin. */
const binMs = 5_000;
/** What is older than this against the newest bin is forgotten. */
const keptMs = 7 * 60_000;
/** Readings kept of one bin; more in the same bin are passed over. */
const binReadingsMax = 12;
/** A single bin that both its neighbours contradict by this much, all within `spikeSpanMs`, is a spike. */
const spikeC = 6;
const spikeSpanMs = 15_000;

/** Returns a probe's last minutes before anything was read. */
export function openRecent(): Recent {
  return { atMs: [], tempC: [], openBin: -1, openAtMs: 0, openC: [] };
}

/**
 * Takes over `recent`, adds one reading and returns true when that closed a bin. A bin's value is the median
 * of its readings; a reading older than the newest is passed over.
 */
export function addReading(recent: Recent, reading: { atMs: number; tempC: number }): boolean {
  const bin = Math.floor(reading.atMs / binMs);
  if (bin < recent.openBin || reading.atMs < recent.openAtMs) return false;
  const closes = recent.openBin >= 0 && bin > recent.openBin;
  if (closes) closeBin(recent);
  recent.openBin = bin;
  recent.openAtMs = reading.atMs;
  if (recent.openC.length < binReadingsMax) recent.openC.push(reading.tempC);
  return closes;
}

function closeBin(recent: Recent): void {
  recent.atMs.push(recent.openAtMs);
  recent.tempC.push(Math.round(median(recent.openC) * 1000) / 1000);
  recent.openC = [];
  dropSpike(recent);
  const oldestMs = recent.openAtMs - keptMs;
  let forgotten = 0;
  while ((recent.atMs[forgotten] ?? Number.POSITIVE_INFINITY) < oldestMs) forgotten += 1;
  if (forgotten > 0) {
    recent.atMs.splice(0, forgotten);
    recent.tempC.splice(0, forgotten);
  }
}

/** Bends the last bin but one to its neighbours where both contradict it: a slip of the sensor, not of the milk. */
function dropSpike({ atMs, tempC }: Recent): void {
  const before = tempC.at(-3);
  const here = tempC.at(-2);
  const after = tempC.at(-1);
  if (before === undefined || here === undefined || after === undefined) return;
  if ((atMs.at(-1) ?? 0) - (atMs.at(-3) ?? 0) > spikeSpanMs) return;
  const above = Math.min(here - before, here - after);
  const below = Math.min(before - here, after - here);
  if (Math.max(above, below) > spikeC) tempC[tempC.length - 2] = (before + after) / 2;
}

/** Returns the readings from bin `from` on, in seconds after it: fine at first, where it may be steep, coarser later. */
export function minutesFrom(recent: Recent, from: number): Minutes {
  const startMs = recent.atMs[from] ?? 0;
  const minutes: Minutes = { beforeC: recent.tempC[from] ?? 0, atS: [], tempC: [], weight: [] };
  let sumS = 0;
  let sumC = 0;
  let count = 0;
  let openS = 0;
  for (let index = from + 1; index < recent.atMs.length; index += 1) {
    const atS = ((recent.atMs[index] ?? 0) - startMs) / 1000;
    if (count === 0) openS = atS;
    sumS += atS;
    sumC += recent.tempC[index] ?? 0;
    count += 1;
    const nextS = ((recent.atMs[index + 1] ?? Number.POSITIVE_INFINITY) - startMs) / 1000;
    if (nextS - openS < grainS(openS)) continue;
    minutes.atS.push(sumS / count);
    minutes.tempC.push(sumC / count);
    minutes.weight.push(weightAt(openS));
    sumS = 0;
    sumC = 0;
    count = 0;
  }
  return minutes;
}

function weightAt(atS: number): number {
  if (atS < 30) return 0.25;
  return atS < 60 ? 0.6 : 1;
}

function grainS(atS: number): number {
  if (atS < 60) return 4;
  return atS < 130 ? 9 : 14;
}

function median(values: number[]): number {
  if (values.length === 1) return values[0] ?? Number.NaN;
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  const upper = sorted[half] ?? Number.NaN;
  return sorted.length % 2 === 1 ? upper : (upper + (sorted[half - 1] ?? upper)) / 2;
}
