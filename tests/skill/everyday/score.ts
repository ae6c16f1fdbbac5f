/** Runs the start and end feelings over everyday data as the watching does, and counts against the truth. */
import { feelEnd, type MilkEnd, openMilkEnd } from '../../../daemon/watch/milk-end.ts';
import { feelStart, openMilkStart } from '../../../daemon/watch/milk-start.ts';
import type { Everyday, TrueChill } from './days.ts';

export type StartFigures = {
  insertions: number;
  /** Noticed within 5 min, `since` within 1 min of the truth. */
  noticed: number;
  /** Of those not noticed so: a gap in the readings covered the minutes in question. */
  missedInGap: number;
  falseStarts: number;
  sinceErrorS: { p50: number; p90: number; most: number };
  noticeS: { p50: number; most: number };
  removals: number;
  /** Told within 5 min of the removal. */
  removalsNoticed: number;
  /** Chills ended while the probe was still in the milk. */
  falseEnds: number;
  usPerReading: number;
  slowestMs: number;
  stateBytesMost: number;
};

type Found = { sinceMs: number; noticedMs: number; by: string };
type Ended = { atMs: number; noticedMs: number; why: string };

const withinMs = 5 * 60_000;
const sinceWithinMs = 60_000;
/** A chill that has been cold for this long is over. */
const coldForMs = 20 * 60_000;

export function judgeDays(everyday: Everyday): { figures: StartFigures; failures: string[] } {
  const run = feelDays(everyday);
  const failures: string[] = [];
  const used = new Set<Found>();
  const inGap = (chill: TrueChill) =>
    everyday.gaps.some((gap) => gap.fromMs < chill.intoMs + withinMs && gap.toMs > chill.intoMs - 30_000);
  let noticed = 0;
  let missedInGap = 0;
  const errors: number[] = [];
  const delays: number[] = [];
  for (const chill of everyday.chills) {
    const near = run.found.filter(
      (found) => Math.abs(found.sinceMs - chill.intoMs) < 20 * 60_000 && !used.has(found),
    );
    const found = near.sort(
      (a, b) => Math.abs(a.sinceMs - chill.intoMs) - Math.abs(b.sinceMs - chill.intoMs),
    )[0];
    const isRight =
      found !== undefined &&
      Math.abs(found.sinceMs - chill.intoMs) <= sinceWithinMs &&
      found.noticedMs - chill.intoMs <= withinMs;
    if (found !== undefined) {
      used.add(found);
      errors.push(Math.abs(found.sinceMs - chill.intoMs) / 1000);
      delays.push((found.noticedMs - chill.intoMs) / 1000);
    }
    if (isRight) noticed += 1;
    else {
      if (inGap(chill)) missedInGap += 1;
      failures.push(describe('insertion', chill.intoMs, everyday, found, inGap(chill)));
    }
  }
  const falseStarts = run.found.filter((found) => !used.has(found));
  for (const found of falseStarts)
    failures.push(describe('false start', found.sinceMs, everyday, found, false));
  const ends = judgeEnds(everyday, run.ended, failures);
  return {
    figures: {
      insertions: everyday.chills.length,
      noticed,
      missedInGap,
      falseStarts: falseStarts.length,
      sinceErrorS: { p50: quantile(errors, 0.5), p90: quantile(errors, 0.9), most: quantile(errors, 1) },
      noticeS: { p50: quantile(delays, 0.5), most: quantile(delays, 1) },
      ...ends,
      usPerReading: Math.round((run.spentMs * 1e4) / everyday.readings.length) / 10,
      slowestMs: Math.round(run.slowestMs * 100) / 100,
      stateBytesMost: run.bytesMost,
    },
    failures,
  };
}

function feelDays(everyday: Everyday) {
  const found: Found[] = [];
  const ended: Ended[] = [];
  let start = openMilkStart();
  let end: MilkEnd | null = null;
  let coldSinceMs = Number.POSITIVE_INFINITY;
  let slowestMs = 0;
  let bytesMost = 0;
  const beganMs = performance.now();
  for (const reading of everyday.readings) {
    const beforeMs = performance.now();
    if (end === null) {
      const felt = feelStart(start, reading);
      start = felt.state;
      if (felt.found !== null) {
        found.push({ ...felt.found, noticedMs: reading.atMs });
        bytesMost = Math.max(bytesMost, JSON.stringify(start).length);
        end = openMilkEnd(start);
        coldSinceMs = Number.POSITIVE_INFINITY;
      }
    } else {
      const felt = feelEnd(end, reading);
      if (felt.left !== null) {
        bytesMost = Math.max(bytesMost, JSON.stringify(end).length);
        ended.push({ ...felt.left, noticedMs: reading.atMs });
        start = openMilkStart(end?.start ?? start);
        end = null;
        if (felt.left.why === 'new-milk') {
          found.push({ sinceMs: felt.left.atMs, noticedMs: reading.atMs, by: 'new-milk' });
          end = openMilkEnd(start);
        }
      }
      coldSinceMs = reading.tempC < 4.44 ? Math.min(coldSinceMs, reading.atMs) : Number.POSITIVE_INFINITY;
      if (reading.atMs - coldSinceMs > coldForMs) {
        start = openMilkStart(end?.start ?? start);
        end = null;
        coldSinceMs = Number.POSITIVE_INFINITY;
      }
    }
    slowestMs = Math.max(slowestMs, performance.now() - beforeMs);
  }
  return { found, ended, spentMs: performance.now() - beganMs, slowestMs, bytesMost };
}

function judgeEnds(everyday: Everyday, ended: Ended[], failures: string[]) {
  let falseEnds = 0;
  for (const end of ended) {
    const inMilk = everyday.chills.some(
      (chill) =>
        end.atMs > chill.intoMs + 90_000 && end.atMs < (chill.outMs ?? Number.POSITIVE_INFINITY) - 90_000,
    );
    if (!inMilk) continue;
    falseEnds += 1;
    failures.push(describe(`false end ${end.why}`, end.atMs, everyday, undefined, false));
  }
  // Only removals from a chill still open can be told; the others ended when the milk was cold.
  let removals = 0;
  let removalsNoticed = 0;
  for (const chill of everyday.chills) {
    if (chill.outMs === null) continue;
    const { outMs } = chill;
    const told = ended.find((end) => Math.abs(end.atMs - outMs) < 120_000);
    const late = ended.find((end) => end.atMs > outMs - 120_000 && end.atMs < outMs + 3_600_000);
    if (told === undefined && late === undefined) continue;
    removals += 1;
    if (told !== undefined && told.noticedMs - outMs <= withinMs) removalsNoticed += 1;
    else failures.push(describe('removal', outMs, everyday, undefined, false));
  }
  return { removals, removalsNoticed, falseEnds };
}

function describe(
  what: string,
  atMs: number,
  everyday: Everyday,
  found: Found | undefined,
  gap: boolean,
): string {
  const firstMs = (everyday.readings[0]?.atMs ?? 0) - 0;
  const day = ((atMs - firstMs) / 86_400_000).toFixed(4);
  const stays = everyday.stays
    .filter((stay) => Math.abs(stay.atS * 1000 - (atMs - 1_750_000_000_000)) < 420_000)
    .map(
      (stay) =>
        `${Math.round(stay.atS - (atMs - 1_750_000_000_000) / 1000)}:${stay.why}${'startC' in stay.where ? stay.where.startC.toFixed(0) : ''}`,
    );
  const said =
    found === undefined
      ? 'nothing found'
      : `${found.by} ${Math.round((found.sinceMs - atMs) / 1000)} s off, noticed after ${Math.round((found.noticedMs - atMs) / 1000)} s`;
  const curve = everyday.readings
    .filter(
      (reading, index) =>
        reading.atMs > atMs - 120_000 &&
        reading.atMs < atMs + 420_000 &&
        index % Math.max(1, Math.round(15 / everyday.probe.everyS)) === 0,
    )
    .map((reading) => `${Math.round((reading.atMs - atMs) / 1000)}:${reading.tempC.toFixed(1)}`);
  return `\n${what} day ${day}${gap ? ' (gap)' : ''}: ${said}; stays ${stays.join(' ')}\n  ${curve.join(' ')}`;
}

function quantile(values: number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return Math.round(sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? 0);
}
