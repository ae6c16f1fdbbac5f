/** The last minutes of one probe, thinned to bins in data time: what insertion and removal are felt from. */

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
  const isClosed = bin === recent.openBin && recent.openC.length === 0;
  if (bin < recent.openBin || reading.atMs < recent.openAtMs || isClosed) return false;
  let closes = false;
  if (bin > recent.openBin && recent.openC.length > 0) {
    closeBin(recent);
    closes = true;
  }
  // Where readings are further apart than bins, waiting for the next one would cost half a minute.
  const isAlone = recent.openBin >= 0 && reading.atMs - recent.openAtMs >= binMs;
  recent.openBin = bin;
  recent.openAtMs = reading.atMs;
  if (recent.openC.length < binReadingsMax) recent.openC.push(reading.tempC);
  if (!isAlone) return closes;
  closeBin(recent);
  return true;
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

function median(values: number[]): number {
  if (values.length === 1) return values[0] ?? Number.NaN;
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  const upper = sorted[half] ?? Number.NaN;
  return sorted.length % 2 === 1 ? upper : (upper + (sorted[half - 1] ?? upper)) / 2;
}
