/** Every reading of a series, slice by slice, the eras merged by instant. */
import type { Database } from '../sqlite/database.ts';
import { openParts, type Part } from './parts.ts';

/** A question for every reading of a probe, epoch ms, `toMs` not included. */
export type RawQuery = { probe: string; fromMs: number; toMs: number };

/** One reading as kept: UTC as far as it is known, °C as read, `readingFlags`. */
export type RawReading = { atMs: number; tempC: number; flags: number; inputSeq: number; receivedMs: number };

/** Where a slice of readings ended; the next one begins after it. */
export type RawCursor = Pick<RawReading, 'atMs' | 'inputSeq'>;

/** The most readings in one slice; the rest come in the next. */
export const rawSliceMax = 2000;

/** Returns up to `rawSliceMax` readings after a cursor (null for the first), by instant, then by input. */
export type RawSlice = (
  series: number,
  range: { fromMs: number; toMs: number },
  after: RawCursor | null,
) => RawReading[];

/** Opens the question; an era whose offset is learned between two slices may move past the cursor. */
export function openRaw(database: Database): RawSlice {
  const partsOf = openParts(database);
  const slice = database.prepare<RawReading>(
    `SELECT tMs + ?3 AS atMs, tempC, flags, inputSeq, receivedMs FROM readings
     WHERE series = ?1 AND era = ?2 AND tMs >= ?4 - ?3 AND tMs < ?5 - ?3
       AND NOT (tMs = ?6 - ?3 AND inputSeq <= ?7)
     ORDER BY tMs, ord LIMIT ${rawSliceMax}`,
  );
  return (series, { fromMs, toMs }, after) => {
    const startMs = after?.atMs ?? fromMs;
    const rest = (part: Part): RawReading[] =>
      slice.all(series, part.era, part.offsetMs, startMs, toMs, startMs, after?.inputSeq ?? 0);
    let merged: RawReading[] = [];
    for (const part of partsOf(series, { fromMs: startMs, toMs })) {
      const last = merged[rawSliceMax - 1];
      // Parts come by their first reading: all that follow begin after what this slice can hold.
      if (last !== undefined && part.firstMs > last.atMs) break;
      merged = [...merged, ...rest(part)].sort(byInstant).slice(0, rawSliceMax);
    }
    return merged;
  };
}

function byInstant(a: RawReading, b: RawReading): number {
  return a.atMs - b.atMs || a.inputSeq - b.inputSeq;
}
