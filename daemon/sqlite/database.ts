/** The one file that knows which SQLite stands below: `node:sqlite`, so that another could take its place. */
import { existsSync } from 'node:fs';
import { DatabaseSync } from 'node:sqlite';
import { asDiskFault, DiskFault } from './disk-fault.ts';

/** What a column can hold and a placeholder can take; whole numbers up to 2^53. */
export type Value = string | number | null | Uint8Array;

/** A prepared statement whose rows have the shape that the caller's SQL gives. */
export type Statement<Row> = {
  /** Runs it and returns how many rows it changed. */
  run(...values: Value[]): number;
  /** Returns the first row, undefined where there is none. */
  first(...values: Value[]): Row | undefined;
  all(...values: Value[]): Row[];
};

/** One connection. Errors of the disk come as `DiskFault`; anything else that throws is a bug. */
export type Database = {
  readonly path: string;
  /** Runs one or more statements without values. */
  exec(sql: string): void;
  prepare<Row = Record<string, Value>>(sql: string): Statement<Row>;
  /** Runs `work` in one transaction, synced when this returns; where it throws, nothing of it stays. */
  transaction<T>(work: () => T): T;
  /** Runs `work`, which only reads, so that all of it sees the file as it was at one instant. */
  snapshot<T>(work: () => T): T;
  /** Runs `work` within a transaction so that, where it throws, only its own changes are undone. */
  savepoint<T>(work: () => T): T;
  /** Checkpoints where it may write, and closes; a second call does nothing. */
  close(): void;
};

export type DatabaseOptions = {
  path: string;
  /** `write` makes a missing file; `read` rejects it with `DATA_MISSING`. */
  mode: 'write' | 'read';
  /** Called in every transaction just before it commits; where it throws, the transaction fails. */
  beforeCommit?: () => void;
};

/** How long a statement waits for another connection's lock; then it rejects with `DISK_LOCKED`. */
const lockWaitMsMax = 5000;

/**
 * Takes a lock on a file of its own that only one process can hold, and returns what gives it up. The
 * system frees it when the process ends, however it ends. Throws `DISK_LOCKED` at once where it is held.
 */
export function takeLock(path: string): () => void {
  const sqlite = guarded(path, () => new DatabaseSync(path, { timeout: 0 }));
  try {
    guarded(path, () => sqlite.exec('PRAGMA journal_mode = MEMORY; BEGIN EXCLUSIVE'));
  } catch (error) {
    sqlite.close();
    throw error;
  }
  return () => sqlite.close();
}

/** Opens a file in WAL mode, every commit synced, foreign keys held; throws a `DiskFault` where that fails. */
export function openDatabase(options: DatabaseOptions): Database {
  const { path, mode } = options;
  if (mode === 'read' && !existsSync(path)) {
    throw new DiskFault(
      'DATA_MISSING',
      `${path} must be a file, got none. Give the data folder of a house that has run.`,
    );
  }
  const sqlite = guarded(
    path,
    () => new DatabaseSync(path, { readOnly: mode === 'read', timeout: lockWaitMsMax }),
  );
  try {
    guarded(path, () => sqlite.exec(pragmas(mode)));
  } catch (error) {
    sqlite.close();
    throw error;
  }
  return databaseOver(sqlite, options);
}

function pragmas(mode: DatabaseOptions['mode']): string {
  // Reading the schema first makes a damaged file known before anything is written to it.
  const read = 'PRAGMA schema_version; PRAGMA foreign_keys = ON;';
  // Longer between checkpoints and more pages held than SQLite's own choice: readings of 200 probes touch
  // hundreds of pages a commit (medians of five runs each: 6.6 against 7.9 µs a reading; one run was slower).
  const write = 'PRAGMA wal_autocheckpoint = 4000; PRAGMA cache_size = -16000;';
  return mode === 'read' ? read : `${read} PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; ${write}`;
}

function databaseOver(sqlite: DatabaseSync, options: DatabaseOptions): Database {
  const { path, beforeCommit } = options;
  const exec = (sql: string) => guarded(path, () => sqlite.exec(sql));
  return {
    path,
    exec,
    prepare: (sql) => statementOver(sqlite, path, sql),
    transaction: (work) =>
      guarded(path, () =>
        bracketed(sqlite, { begin: 'BEGIN IMMEDIATE', end: 'COMMIT', undo: 'ROLLBACK' }, () => {
          const result = work();
          beforeCommit?.();
          return result;
        }),
      ),
    snapshot: (work) =>
      guarded(path, () => bracketed(sqlite, { begin: 'BEGIN', end: 'COMMIT', undo: 'ROLLBACK' }, work)),
    savepoint: (work) =>
      guarded(path, () =>
        bracketed(
          sqlite,
          { begin: 'SAVEPOINT part', end: 'RELEASE part', undo: 'ROLLBACK TO part; RELEASE part' },
          work,
        ),
      ),
    close: () => {
      if (!sqlite.isOpen) return;
      try {
        if (options.mode === 'write') exec('PRAGMA wal_checkpoint(TRUNCATE)');
      } finally {
        sqlite.close();
      }
    },
  };
}

function bracketed<T>(
  sqlite: DatabaseSync,
  words: { begin: string; end: string; undo: string },
  work: () => T,
): T {
  sqlite.exec(words.begin);
  try {
    const result = work();
    sqlite.exec(words.end);
    return result;
  } catch (error) {
    // SQLite has undone the transaction itself where the disk was full or failed.
    if (sqlite.isTransaction) sqlite.exec(words.undo);
    throw error;
  }
}

function statementOver<Row>(sqlite: DatabaseSync, path: string, sql: string): Statement<Row> {
  const statement = guarded(path, () => sqlite.prepare(sql));
  return {
    run: (...values) => guarded(path, () => Number(statement.run(...values).changes)),
    first: (...values) => guarded(path, () => statement.get(...values) as Row | undefined),
    all: (...values) => guarded(path, () => statement.all(...values) as Row[]),
  };
}

function guarded<T>(path: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    throw asDiskFault(error, path);
  }
}
