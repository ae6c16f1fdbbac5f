/** What a probe showed over a span, bucket by bucket: where it was heard, and what it came to. Pure. */

import type { HistoryBucket, HistorySnap } from '../../../shared/contract/api.ts';

/** Buckets that follow each other without a gap; never empty. */
export type Run = HistoryBucket[];
export type Gap = { fromMs: number; toMs: number };

export type Envelope = { runs: Run[]; gaps: Gap[] };

/** What a span came to; °C, mean over readings. */
export type SpanSum = {
  minC: number;
  maxC: number;
  meanC: number;
  count: number;
  /** When nothing was heard, within the first and the last reading. */
  gapMs: number;
  gaps: number;
};

/** A probe may miss so many readings before the time between counts as not heard. */
const missed = 3;

/** The least time between readings that counts as not heard, ms. */
const gapMsMin = 10_000;

/** Parts buckets into runs, with a gap between two wherever the probe was not heard by its own rhythm. */
export function envelopeOf(buckets: readonly HistoryBucket[], intervalMs: number | null): Envelope {
  const runs: Run[] = [];
  const gaps: Gap[] = [];
  for (const bucket of buckets) {
    const run = runs.at(-1);
    const before = run?.at(-1);
    if (run === undefined || before === undefined) {
      runs.push([bucket]);
      continue;
    }
    const widthMs = Math.max(before.toMs - before.fromMs, bucket.toMs - bucket.fromMs);
    const silentMs = bucket.fromMs - before.toMs;
    // Readings may lie anywhere in their buckets, so that up to two more widths may have been silent, too.
    const isGap = silentMs > Math.max(gapMsMin, missed * (intervalMs ?? 0), widthMs);
    if (isGap) {
      // Where a bucket holds many readings the silence begins and ends somewhere within the two beside it.
      const within = widthMs > missed * (intervalMs ?? 0) ? widthMs / 2 : 0;
      gaps.push({ fromMs: before.toMs - within, toMs: bucket.fromMs + within });
      runs.push([bucket]);
    } else run.push(bucket);
  }
  return { runs, gaps };
}

/**
 * To what the edges of buckets are moved: the longest unit of which four or more go into a bucket, so that the
 * house answers from sums that it keeps and no bucket is off by more than a quarter.
 */
export function snapOf(bucketMs: number): HistorySnap {
  if (bucketMs >= 4 * 86_400_000) return 'day';
  if (bucketMs >= 4 * 3_600_000) return 'hour';
  return bucketMs >= 4 * 60_000 ? 'minute' : 'none';
}

/** How much of a span lies in stretches whose readings are damaged, ms; where two overlap it counts once. */
export function damagedMsOf(damaged: readonly Gap[], span: Gap): number {
  let [sumMs, endMs] = [0, span.fromMs];
  for (const { fromMs, toMs } of [...damaged].sort((a, b) => a.fromMs - b.fromMs)) {
    const [from, to] = [Math.max(fromMs, endMs), Math.min(toMs, span.toMs)];
    if (to <= from) continue;
    sumMs += to - from;
    endMs = to;
  }
  return sumMs;
}

/** Sums up what lies within a span; null where no reading does. */
export function sumOf({ runs, gaps }: Envelope, span: { fromMs: number; toMs: number }): SpanSum | null {
  const buckets = runs.flat().filter(({ fromMs, toMs }) => toMs > span.fromMs && fromMs < span.toMs);
  if (buckets.length === 0) return null;
  const within = gaps
    .map(({ fromMs, toMs }) => Math.min(toMs, span.toMs) - Math.max(fromMs, span.fromMs))
    .filter((spanMs) => spanMs > 0);
  const count = buckets.reduce((sum, bucket) => sum + bucket.count, 0);
  return {
    minC: Math.min(...buckets.map(({ minC }) => minC)),
    maxC: Math.max(...buckets.map(({ maxC }) => maxC)),
    meanC: buckets.reduce((sum, bucket) => sum + bucket.meanC * bucket.count, 0) / count,
    count,
    gapMs: within.reduce((sum, spanMs) => sum + spanMs, 0),
    gaps: within.length,
  };
}

/** The bucket of an instant, or the nearest one not further off than `reachMs`; null where there is none. */
export function bucketAt({ runs }: Envelope, atMs: number, reachMs: number): HistoryBucket | null {
  let best: HistoryBucket | null = null;
  let bestMs = reachMs;
  for (const bucket of runs.flat()) {
    const awayMs = atMs < bucket.fromMs ? bucket.fromMs - atMs : atMs >= bucket.toMs ? atMs - bucket.toMs : 0;
    if (awayMs > bestMs) continue;
    best = bucket;
    bestMs = awayMs;
    if (awayMs === 0) break;
  }
  return best;
}

/** Buckets moved to later instants, to lie under another span. */
export function shiftedBuckets(buckets: readonly HistoryBucket[], byMs: number): HistoryBucket[] {
  return buckets.map((bucket) => ({ ...bucket, fromMs: bucket.fromMs + byMs, toMs: bucket.toMs + byMs }));
}
