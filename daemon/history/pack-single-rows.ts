/** Brings the rows of single readings that earlier releases kept into the log. */
import type { Database } from '../sqlite/database.ts';
import { openLog } from './log.ts';
import type { LoggedReading } from './log-row.ts';

type SingleRow = LoggedReading & { inputSeq: number };

/** Readings brought over in one transaction. */
const rowsPerStep = 20_000;

/** Packs all single rows, runs of following numbers in a row of the log each; again after a crash, it goes on. */
export function packSingleRows(database: Database): void {
  const find = database.prepare<SingleRow>(
    // Blocks tell receipts by their flag; earlier releases left that to the era.
    `SELECT series, era, tMs, tempC, iif(era = 0, flags & ~1, flags | 1) AS flags, receivedMs, inputSeq
     FROM single_readings ORDER BY inputSeq LIMIT ${rowsPerStep}`,
  );
  const isAny = database.prepare('SELECT 1 FROM single_readings LIMIT 1');
  if (isAny.first() === undefined) return;
  database.exec('CREATE INDEX IF NOT EXISTS single_by_input ON single_readings (inputSeq)');
  const log = openLog(database);
  const remove = database.prepare('DELETE FROM single_readings WHERE inputSeq <= ?');
  for (;;) {
    const rows = find.all();
    const last = rows.at(-1);
    if (last === undefined) break;
    database.transaction(() => {
      for (const run of runsOf(rows)) {
        log.append((run[0] as SingleRow).inputSeq, run);
      }
      remove.run(last.inputSeq);
    });
  }
  database.exec('DROP INDEX single_by_input');
}

/** Readings in one row of the log, at most. */
const runMax = 1_000;

function runsOf(rows: readonly SingleRow[]): SingleRow[][] {
  const runs: SingleRow[][] = [];
  for (const row of rows) {
    const last = runs.at(-1);
    if (last !== undefined && last.length < runMax && last.at(-1)?.inputSeq === row.inputSeq - 1)
      last.push(row);
    else runs.push([row]);
  }
  return runs;
}
