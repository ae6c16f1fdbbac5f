/** How often a probe measures, from the instants of its readings. */

/** The last intervals, oldest first, at most `intervalsMax`; plain JSON. */
export type Intervals = { lastMs: number | null; spansMs: number[] };

const intervalsMax = 15;
/** Intervals needed before one is spoken of. */
const intervalsLeast = 3;

export function openIntervals(): Intervals {
  return { lastMs: null, spansMs: [] };
}

/** Takes over `intervals` and feeds a reading; one not newer than the last changes nothing. */
export function feedInterval(intervals: Intervals, atMs: number): void {
  const { lastMs } = intervals;
  if (lastMs !== null && atMs <= lastMs) return;
  if (lastMs !== null) intervals.spansMs.push(atMs - lastMs);
  if (intervals.spansMs.length > intervalsMax) intervals.spansMs.shift();
  intervals.lastMs = atMs;
}

/** The probe's interval in ms, the median of the last ones; null before three are known. */
export function intervalOf({ spansMs }: Intervals): number | null {
  if (spansMs.length < intervalsLeast) return null;
  const sorted = [...spansMs].sort((a, b) => a - b);
  return sorted[(sorted.length - 1) >> 1] ?? null;
}
