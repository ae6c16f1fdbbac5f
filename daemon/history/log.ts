/** The rows of the log: written a commit each, read on from a number. */
import type { Database } from '../sqlite/database.ts';
import { type LoggedReading, packCommit, unpackCommit } from './log-row.ts';

export type Log = {
  /** Writes readings, at least one, numbered from `firstSeq` on, as one row within the running transaction. */
  append(firstSeq: number, readings: readonly LoggedReading[]): void;
  /**
   * Returns what `make` makes of up to `limit` readings numbered above `inputSeq`, in order; fewer are the last.
   * A damaged row is passed over. The reading handed to `make` is one that is used again.
   */
  after<T>(inputSeq: number, limit: number, make: (reading: LoggedReading, inputSeq: number) => T): T[];
};

type LogRow = { firstSeq: number; count: number; readings: Uint8Array };

/** Rows read in one go. */
const rowsPerAsk = 64;

/** Opens the log of a file. */
export function openLog(database: Database): Log {
  const insert = database.prepare(
    'INSERT INTO log (firstSeq, count, receivedMs, readings) VALUES (?, ?, ?, ?)',
  );
  const rowsFrom = database.prepare<LogRow>(
    `SELECT firstSeq, count, readings FROM log WHERE firstSeq >= ? ORDER BY firstSeq LIMIT ${rowsPerAsk}`,
  );
  const rowOf = database.prepare<{ firstSeq: number | null }>(
    'SELECT max(firstSeq) AS firstSeq FROM log WHERE firstSeq <= ?',
  );
  return {
    append: (firstSeq, readings) => {
      const receivedMs = readings.reduce((latest, reading) => Math.max(latest, reading.receivedMs), 0);
      insert.run(firstSeq, readings.length, receivedMs, packCommit(readings));
    },
    after: <T>(inputSeq: number, limit: number, make: (reading: LoggedReading, inputSeq: number) => T) => {
      const found: T[] = [];
      let from = rowOf.first(inputSeq + 1)?.firstSeq ?? 0;
      while (found.length < limit) {
        const rows = rowsFrom.all(from);
        for (const { firstSeq, count, readings } of rows) {
          let seq = firstSeq;
          unpackCommit(readings, count, (reading) => {
            const mine = seq++;
            if (mine > inputSeq) found.push(make(reading, mine));
          });
          from = firstSeq + 1;
          if (found.length >= limit) break;
        }
        if (rows.length < rowsPerAsk) break;
      }
      return found.slice(0, limit);
    },
  };
}
