/** A question for `points` equal spans of a probe's curve, epoch ms, `toMs` not included. */
export type RangeQuery = { probe: string; fromMs: number; toMs: number; points: number };

/** A question for every reading of a probe, epoch ms, `toMs` not included. */
export type RawQuery = { probe: string; fromMs: number; toMs: number };

/** One reading as kept: UTC as far as it is known, °C as read, `readingFlags`. */
export type RawReading = { atMs: number; tempC: number; flags: number; inputSeq: number; receivedMs: number };
