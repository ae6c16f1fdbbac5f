/** Histories for the bench: made by the write side of the house itself, sealed, checkpointed. */
import { openHistory } from '../../../daemon/history/history.ts';
import { openDatabase } from '../../../daemon/sqlite/database.ts';
import type { Signal } from './signals.ts';

/** The probe whose readings they are. */
export const benchProbe = 'larder';

/** Readings in one commit while building; a house has fewer. */
const perCommit = 5_000;

export type Built = {
  path: string;
  readings: number;
  firstMs: number;
  lastMs: number;
};

/** Builds a history of so many readings; all of them are in blocks in the end. */
export function buildHistory(path: string, signal: Signal, readings: number): Built {
  const database = openDatabase({ path, mode: 'write' });
  let [firstMs, lastMs] = [0, 0];
  try {
    // What a sync costs is no part of how large a file is, nor of how it is read.
    database.exec('PRAGMA synchronous = OFF');
    const history = openHistory(database);
    for (let done = 0; done < readings; ) {
      const items = [];
      for (let many = 0; many < perCommit && done < readings; many++, done++) {
        const { atMs, tempC } = signal.next();
        if (firstMs === 0) firstMs = atMs;
        lastMs = atMs;
        items.push({ probe: benchProbe, tempC, flags: 0, receivedMs: atMs + 3, stamp: { atMs } });
      }
      history.commitReadings(items, done - items.length + 1);
      while (history.tend());
    }
    history.sealAll();
  } finally {
    database.close();
  }
  return { path, readings, firstMs, lastMs };
}
