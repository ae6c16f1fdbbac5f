/** The parts of a series within a range of instants: one for each era that has readings there. */
import type { Database } from '../sqlite/database.ts';

/** What one era holds of a series within a range; UTC instants of its first and last reading, epoch ms. */
export type Part = { era: number; offsetMs: number; firstMs: number; lastMs: number };

/** Returns the parts of a series from `fromMs` up to but not at `toMs`, by their first reading. */
export type Parts = (series: number, range: { fromMs: number; toMs: number }) => Part[];

/** Opens the question for parts: two seeks an era. */
export function openParts(database: Database): Parts {
  const edge = (which: 'min' | 'max') =>
    `(SELECT ${which}(tMs) FROM readings WHERE series = ?1 AND era = e.era AND tMs >= ?2 - e.offsetMs AND tMs < ?3 - e.offsetMs)`;
  const parts = database.prepare<Part>(
    `SELECT era, offsetMs, firstTMs + offsetMs AS firstMs, lastTMs + offsetMs AS lastMs
     FROM (SELECT e.era, e.offsetMs, ${edge('min')} AS firstTMs, ${edge('max')} AS lastTMs FROM eras e)
     WHERE firstTMs IS NOT NULL ORDER BY firstMs`,
  );
  return (series, { fromMs, toMs }) => parts.all(series, fromMs, toMs);
}
