/** A row to learn from: what was known of a jar at one minute, and what came of it. */
import type { TracePoint } from '../../daemon/forecast/chill-trace.ts';

/**
 * Horizons at which a row keeps the pool's log-odds: the deadline and some fixed parts of the reach to it, then
 * where the pool itself puts these shares of its crossings, so that quantiles are learned where they lie.
 */
export const fixedParts = [1, 0.5, 1.5, 2.5] as const;
export const poolShares = [0.05, 0.15, 0.3, 0.5, 0.7, 0.85, 0.95] as const;
export const horizonCount = fixedParts.length + poolShares.length;

const slots = 30;

/** The curve itself as 30 averages evenly spaced in time, for learners that know no physics. */
export function rawSlots(raw: readonly TracePoint[], toMin: number): number[] {
  const sums = new Array<number>(slots).fill(0);
  const counts = new Array<number>(slots).fill(0);
  for (const { tMin, tempC } of raw) {
    const slot = Math.min(slots - 1, Math.max(0, Math.floor((tMin / toMin) * slots)));
    sums[slot] = (sums[slot] as number) + tempC;
    counts[slot] = (counts[slot] as number) + 1;
  }
  let last = raw[0]?.tempC ?? 0;
  return sums.map((sum, slot) => {
    const count = counts[slot] as number;
    if (count > 0) last = sum / count;
    return last;
  });
}

/** Columns after the features: the slots, the volume and the place told. */
export const rawColumns = slots + 2;
