/** Brings a file of any earlier release to this one's tables, on opening. */
import type { Database } from './database.ts';
import { DiskFault } from './disk-fault.ts';

/** A kind of file: what marks it as ours, and the steps that made its tables, never edited once released. */
export type Schema = {
  /** SQLite's application id: a file of another program or the other of our files is refused by it. */
  applicationId: number;
  /** The n-th step leads from version n - 1 to n. */
  steps: readonly string[];
};

/**
 * Runs the steps that a file lacks, each in its own transaction, and returns the version it had: 0 for a
 * new file. Throws `DATA_NEWER` for a file of a later release and `DATA_FOREIGN` for one that is not ours.
 */
export function migrate(database: Database, schema: Schema): number {
  const before = versionOf(database);
  refuseForeign(database, schema, before);
  if (before > schema.steps.length) throw newer(database, schema, before);
  schema.steps.slice(before).forEach((step, index) => {
    database.transaction(() => {
      database.exec(step);
      database.exec(
        `PRAGMA application_id = ${schema.applicationId}; PRAGMA user_version = ${before + index + 1}`,
      );
    });
  });
  return before;
}

/** Throws where a file opened only for reading is not of this release: `DATA_FOREIGN`, `DATA_NEWER` or `DATA_OLDER`. */
export function expectSchema(database: Database, schema: Schema): void {
  const version = versionOf(database);
  refuseForeign(database, schema, version);
  if (version > schema.steps.length) throw newer(database, schema, version);
  if (version === schema.steps.length) return;
  throw new DiskFault(
    'DATA_OLDER',
    `${database.path} must be of version ${schema.steps.length}, got version ${version}. Start the daemon on its folder once: that brings it up.`,
  );
}

function newer(database: Database, schema: Schema, version: number): DiskFault {
  return new DiskFault(
    'DATA_NEWER',
    `${database.path} must be of version ${schema.steps.length} or earlier, got version ${version}. Run the release that wrote it, or a later one; nothing was changed in it.`,
  );
}

function versionOf(database: Database): number {
  return database.prepare<{ user_version: number }>('PRAGMA user_version').first()?.user_version ?? 0;
}

function refuseForeign(database: Database, schema: Schema, version: number): void {
  const id =
    database.prepare<{ application_id: number }>('PRAGMA application_id').first()?.application_id ?? 0;
  const tables =
    database.prepare<{ count: number }>('SELECT count(*) AS count FROM sqlite_schema').first()?.count ?? 0;
  if (id === schema.applicationId || (id === 0 && version === 0 && tables === 0)) return;
  throw new DiskFault(
    'DATA_FOREIGN',
    `${database.path} must be a file that Springhouse made (application id ${schema.applicationId}), got application id ${id}. Move it away; nothing was changed in it.`,
  );
}
