import type { Stretch } from './range.ts';
import type { Spans } from './spans.ts';

/** A stretch without readings is a gap when it is so many times as long as readings usually lie apart. */
const usualTimes = 3;

/**
 * Returns the gaps between the first and the last reading of some spans, by how many readings each has:
 * stretches of empty spans that are longer than three times the usual distance, which is that of the middle
 * one of the spans with readings.
 */
export function gapsOf(spans: Spans, counts: Float64Array): Stretch[] {
  const distances: number[] = [];
  for (let span = 0; span < spans.count; span++) {
    const count = counts[span] as number;
    if (count > 0) distances.push((spans.at(span + 1) - spans.at(span)) / count);
  }
  const usualMs = distances.sort((a, b) => a - b)[distances.length >> 1] ?? 0;
  const gaps: Stretch[] = [];
  let emptyFrom: number | null = null;
  for (let span = 0; span < spans.count; span++) {
    if ((counts[span] as number) === 0) continue;
    const gap = { fromMs: spans.at(emptyFrom ?? span), toMs: spans.at(span) };
    if (gap.toMs - gap.fromMs > usualTimes * usualMs) gaps.push(gap);
    emptyFrom = span + 1;
  }
  return gaps;
}
