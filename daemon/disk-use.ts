/** How much disk the house's files take, and how much is left beside them. Wiring. */
import { statfsSync, statSync } from 'node:fs';
import type { DiskView } from '../shared/contract/api.ts';
import { dataPaths } from './data-folder.ts';

/** For how long an answer holds, ms of the steady clock: sizes change slowly. */
const freshMs = 5_000;

/** Returns the question for a data folder; files that are not there count as nothing. */
export function openDiskUse(dataDir: string): () => DiskView {
  const paths = dataPaths(dataDir);
  let held: { atMs: number; view: DiskView } | null = null;
  return () => {
    const atMs = performance.now();
    if (held === null || atMs - held.atMs > freshMs) {
      const view = {
        historyBytes: bytesOf(paths.history),
        recordBytes: bytesOf(paths.house),
        freeBytes: freeBytesOf(dataDir),
      };
      held = { atMs, view };
    }
    return held.view;
  };
}

/** A database with its write-ahead log and the log's index. */
function bytesOf(path: string): number {
  return ['', '-wal', '-shm']
    .map((end) => statSync(`${path}${end}`, { throwIfNoEntry: false })?.size ?? 0)
    .reduce((sum, bytes) => sum + bytes, 0);
}

function freeBytesOf(dir: string): number {
  try {
    const { bavail, bsize } = statfsSync(dir);
    return bavail * bsize;
  } catch {
    return 0;
  }
}
