/** Runs the start and end feelings over everyday data as the watching does, and counts against the truth. */
import { feelEnd, type MilkEnd, openMilkEnd } from '../../../daemon/watch/milk-end.ts';
import { feelStart, openMilkStart } from '../../../daemon/watch/milk-start.ts';
import type { Everyday, TrueChill } from './days.ts';

export type StartFigures = {
  insertions: number;
  /** Noticed within 5 min, `since` within 1 min of the truth. */
  noticed: number;
  /** Of those not noticed so: nothing but the milk's own temperature was around the probe before, within 2 °C. */
  missedAlike: number;
  /** Of those not noticed so: a gap in the readings covered the minutes in question. */
  missedInGap: number;
  falseStarts: number;
  sinceErrorS: { p50: number; p90: number; most: number };
  noticeS: { p50: number; most: number };
  /** Probes taken out of the milk of a chill that was open then. */
  removals: number;
  /** Told within 10 min of the removal. */
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
const endWithinMs = 10 * 60_000;
const sinceWithinMs = 60_000;
/** A chill that has been cold for this long is over. */
const coldForMs = 20 * 60_000;

export function judgeDays(everyday: Everyday): { figures: StartFigures; failures: string[] } {
  const spentMs = new Float64Array(everyday.readings.length).fill(Number.POSITIVE_INFINITY);
  // Twice, and of each reading the quicker one: what else the machine does at the time is no cost of ours.
  feelDays(everyday, spentMs);
  const run = feelDays(everyday, spentMs);
  const failures: string[] = [];
  const used = new Set<Found>();
  const inGap = (chill: TrueChill) =>
    everyday.gaps.some((gap) => gap.fromMs < chill.intoMs + withinMs && gap.toMs > chill.intoMs - 30_000);
  let noticed = 0;
  let missedInGap = 0;
  let missedAlike = 0;
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
      else if (isAlike(everyday, chill)) missedAlike += 1;
      failures.push(describe('insertion', chill.intoMs, everyday, found, inGap(chill)));
    }
  }
  const falseStarts = run.found.filter((found) => !used.has(found));
  for (const found of falseStarts)
    failures.push(describe('false start', found.sinceMs, everyday, found, false));
  const ends = judgeEnds(everyday, run, failures);
  return {
    figures: {
      insertions: everyday.chills.length,
      noticed,
      missedAlike,
      missedInGap,
      falseStarts: falseStarts.length,
      sinceErrorS: { p50: quantile(errors, 0.5), p90: quantile(errors, 0.9), most: quantile(errors, 1) },
      noticeS: { p50: quantile(delays, 0.5), most: quantile(delays, 1) },
      ...ends,
      usPerReading: Math.round((spentMs.reduce((sum, ms) => sum + ms, 0) * 1e4) / spentMs.length) / 10,
      slowestMs: Math.round(spentMs.reduce((most, ms) => Math.max(most, ms), 0) * 100) / 100,
      stateBytesMost: run.bytesMost,
    },
    failures,
  };
}

/** The probe hardly felt a change: all of the minute before was within 2 °C of what it read minutes after. */
function isAlike({ readings }: Everyday, chill: TrueChill): boolean {
  const within = (fromS: number, toS: number) =>
    readings
      .filter(({ atMs }) => atMs >= chill.intoMs + fromS * 1000 && atMs <= chill.intoMs + toS * 1000)
      .map(({ tempC }) => tempC);
  const before = within(-90, 0);
  const after = within(0, 150);
  const warmestC = Math.max(...after);
  return before.every((tempC) => Math.abs(tempC - warmestC) <= 2);
}

function feelDays(everyday: Everyday, spentMs: Float64Array) {
  const found: Found[] = [];
  const ended: Ended[] = [];
  const open: Span[] = [];
  const close = (atMs: number) => {
    const last = open.at(-1);
    if (last !== undefined) last.toMs = Math.min(last.toMs, atMs);
    end = null;
  };
  let start = openMilkStart();
  let end: MilkEnd | null = null;
  let coldSinceMs = Number.POSITIVE_INFINITY;
  let bytesMost = 0;
  for (const [nth, reading] of everyday.readings.entries()) {
    const beforeMs = performance.now();
    const felt = feelStart(start, reading);
    start = felt.state;
    const left = end === null ? null : feelEnd(end, reading).left;
    spentMs[nth] = Math.min(spentMs[nth] as number, performance.now() - beforeMs);
    if (felt.found !== null) {
      const by = end === null ? felt.found.by : 'new-milk';
      if (end !== null) ended.push({ atMs: felt.found.sinceMs, noticedMs: reading.atMs, why: by });
      close(reading.atMs);
      open.push({ fromMs: reading.atMs, toMs: Number.POSITIVE_INFINITY });
      found.push({ ...felt.found, by, noticedMs: reading.atMs });
      bytesMost = Math.max(bytesMost, JSON.stringify(start).length);
      end = openMilkEnd();
      coldSinceMs = Number.POSITIVE_INFINITY;
    } else if (left !== null) {
      ended.push({ ...left, noticedMs: reading.atMs });
      close(reading.atMs);
    }
    coldSinceMs = reading.tempC < 4.44 ? Math.min(coldSinceMs, reading.atMs) : Number.POSITIVE_INFINITY;
    if (end !== null && reading.atMs - coldSinceMs > coldForMs) close(reading.atMs);
  }
  return { found, ended, open, bytesMost };
}

type Span = { fromMs: number; toMs: number };

function judgeEnds(
  everyday: Everyday,
  { ended, open }: { ended: Ended[]; open: Span[] },
  failures: string[],
) {
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
  let removals = 0;
  let removalsNoticed = 0;
  for (const { outMs } of everyday.chills) {
    if (outMs === null || !open.some(({ fromMs, toMs }) => fromMs <= outMs && outMs < toMs)) continue;
    removals += 1;
    if (ended.some((end) => end.noticedMs > outMs - 60_000 && end.noticedMs - outMs <= endWithinMs))
      removalsNoticed += 1;
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
