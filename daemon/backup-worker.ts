/** The entry of a backup's thread, so that the main one can tell how far it is. */
import { createHash } from 'node:crypto';
import { closeSync, copyFileSync, openSync, readSync } from 'node:fs';
import { checkDatabase, copyDatabase, type DatabaseStamp, syncFile } from './sqlite/copy-database.ts';
import { serveThread } from './sqlite/thread.ts';

/** What the thread can be asked; each call ends when it is done and synced. */
export type BackupCalls = {
  /** Copies a database that may be in use. */
  copyDatabase(ask: { from: string; to: string }): void;
  /** Copies a file that nobody writes to. */
  copyFile(ask: { from: string; to: string }): void;
  check(path: string): DatabaseStamp;
  /** SHA-256 of a file, hex. */
  digest(path: string): string;
};

/** Read at a time, bytes. */
const pieceBytes = 1_048_576;

serveThread<BackupCalls>(
  {
    copyDatabase,
    copyFile: ({ from, to }) => {
      copyFileSync(from, to);
      syncFile(to);
    },
    check: checkDatabase,
    digest: (path) => {
      const hash = createHash('sha256');
      const piece = Buffer.allocUnsafe(pieceBytes);
      const handle = openSync(path, 'r');
      try {
        for (let bytes = readSync(handle, piece); bytes > 0; bytes = readSync(handle, piece)) {
          hash.update(piece.subarray(0, bytes));
        }
      } finally {
        closeSync(handle);
      }
      return hash.digest('hex');
    },
  },
  () => {},
);
