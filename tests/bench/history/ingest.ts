/** Taking readings in: the house's group commits beside bare rows of SQLite, both synced, both readable at commit. */
import { DatabaseSync } from 'node:sqlite';
import { openHistory } from '../../../daemon/history/history.ts';
import { openDatabase } from '../../../daemon/sqlite/database.ts';
import type { Signal } from './signals.ts';

/** Readings a second: ours while all are committed and sealed, and the rows'. */
export type IngestFigures = { ours: number; rows: number };

export type IngestOptions = {
  readings: number;
  /** In one commit. */
  each: number;
  probes: number;
  /** True where the rows can be found by their numbers, too, as a resume and a mirror need it. */
  isNumbered: boolean;
};

/** Commits readings in groups of `each` into both, in turn group by group, so that the disk is the same. */
export function measureIngest(
  dir: string,
  signal: Signal,
  { readings, each, probes, isNumbered }: IngestOptions,
): IngestFigures {
  const database = openDatabase({ path: `${dir}/ingest.db`, mode: 'write' });
  const rows = openRows(`${dir}/rows.db`, isNumbered);
  const spent = { ours: 0, rows: 0 };
  try {
    const history = openHistory(database);
    for (let done = 0; done < readings; done += each) {
      const group = Array.from({ length: each }, (_, place) => ({
        ...signal.next(),
        series: place % probes,
      }));
      const items = group.map(({ atMs, tempC, series }) => {
        return { probe: `probe-${series}`, tempC, flags: 0, receivedMs: atMs + 3, stamp: { atMs } };
      });
      const fromMs = performance.now();
      history.commitReadings(items, done + 1);
      while (history.tend());
      const betweenMs = performance.now();
      rows.insert(group, done + 1);
      spent.ours += betweenMs - fromMs;
      spent.rows += performance.now() - betweenMs;
    }
  } finally {
    database.close();
    rows.close();
  }
  return { ours: (readings / spent.ours) * 1_000, rows: (readings / spent.rows) * 1_000 };
}

/** As anybody would keep them: a row a reading, by probe and instant. */
function openRows(path: string, isNumbered: boolean) {
  const sqlite = new DatabaseSync(path);
  sqlite.exec(`PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;
    CREATE TABLE readings (series INTEGER, tMs INTEGER, tempC REAL, flags INTEGER, receivedMs INTEGER, inputSeq INTEGER,
      PRIMARY KEY (series, tMs)) WITHOUT ROWID`);
  if (isNumbered) sqlite.exec('CREATE UNIQUE INDEX by_number ON readings (inputSeq)');
  const insert = sqlite.prepare('INSERT INTO readings VALUES (?, ?, ?, 0, ?, ?)');
  return {
    insert: (group: readonly { atMs: number; tempC: number; series: number }[], firstSeq: number): void => {
      sqlite.exec('BEGIN IMMEDIATE');
      for (const [index, { atMs, tempC, series }] of group.entries())
        insert.run(series, atMs, tempC, atMs + 3, firstSeq + index);
      sqlite.exec('COMMIT');
    },
    close: () => sqlite.close(),
  };
}
