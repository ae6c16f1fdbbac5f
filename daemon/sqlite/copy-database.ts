/** A whole database as one sound file, also while another process writes to it. */
import { closeSync, fsyncSync, openSync } from 'node:fs';
import { openDatabase } from './database.ts';
import { DiskFault } from './disk-fault.ts';

/**
 * Copies the database at `from`, as it is at one instant, to a new file. It reads on a connection of its own
 * and makes no writer wait; only the writer's log grows a little longer meanwhile. What is written is synced
 * when this returns. Throws a `DiskFault` where it cannot be read or written.
 */
export function copyDatabase({ from, to }: { from: string; to: string }): void {
  const database = openDatabase({ path: from, mode: 'read' });
  try {
    database.exec(`VACUUM INTO '${to.replaceAll("'", "''")}'`);
  } finally {
    database.close();
  }
  syncFile(to);
}

/** Forces what was written to a file, or the names in a folder, onto the disk. */
export function syncFile(path: string): void {
  const handle = openSync(path, 'r');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

/** What a file says of itself: which kind of file of ours it is, and its version. */
export type DatabaseStamp = { applicationId: number; version: number };

/** Reads a whole database and returns its stamp; throws `DATA_DAMAGED` where any page of it is unsound. */
export function checkDatabase(path: string): DatabaseStamp {
  const database = openDatabase({ path, mode: 'read' });
  try {
    const [found] = database.prepare<{ integrity_check: string }>('PRAGMA integrity_check(1)').all();
    if (found?.integrity_check !== 'ok') {
      throw new DiskFault(
        'DATA_DAMAGED',
        `${path} must be a sound database, got ${found?.integrity_check}. Take another copy.`,
      );
    }
    const applicationId = database.prepare<{ application_id: number }>('PRAGMA application_id').first();
    const version = database.prepare<{ user_version: number }>('PRAGMA user_version').first();
    return { applicationId: applicationId?.application_id ?? 0, version: version?.user_version ?? 0 };
  } finally {
    database.close();
  }
}
