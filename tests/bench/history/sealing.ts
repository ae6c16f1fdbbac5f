/** What sealing keeps from others: how long a commit may wait for it, and the newest reading just after. */
import { openHistory } from '../../../daemon/history/history.ts';
import { openHistoryRange } from '../../../daemon/history/range.ts';
import { openLatestReadings } from '../../../daemon/latest-readings.ts';
import { openDatabase } from '../../../daemon/sqlite/database.ts';
import type { Input } from '../../../shared/contract/input.ts';
import { benchProbe } from './build.ts';
import { openSignal, type SignalOptions } from './signals.ts';

export type SealFigures = {
  /** Pieces of sealing, each synced: the longest and the median, ms. */
  longestMs: number;
  medianMs: number;
  pieces: number;
  /** The newest reading just after a piece, as the house answers from its memory, median, ms. */
  latestMs: number;
  /** The same as the first question of another connection, which has to read again what the piece has changed. */
  latestFromFileMs: number;
};

/** Readings in a commit. */
const perCommit = 300;

/**
 * Seals so many readings with commits between. The whole is done twice over the same readings, and of each piece
 * the quicker run counts: what another program on the machine took is no part of it.
 */
export function measureSealing(dir: string, options: SignalOptions, readings: number): SealFigures {
  const runs = [1, 2].map((run) => sealOnce(`${dir}/sealing-${run}.db`, options, readings));
  const pieces = (runs[0] as Run).pieces.map((spanMs, place) =>
    Math.min(spanMs, (runs[1] as Run).pieces[place] ?? spanMs),
  );
  pieces.sort((a, b) => a - b);
  const median = (kind: 'latests' | 'fromFile') => {
    const found = runs.flatMap((run) => run[kind]).sort((a, b) => a - b);
    return found[found.length >> 1] ?? 0;
  };
  return {
    longestMs: pieces.at(-1) ?? 0,
    medianMs: pieces[pieces.length >> 1] ?? 0,
    pieces: pieces.length,
    latestMs: median('latests'),
    latestFromFileMs: median('fromFile'),
  };
}

type Run = { pieces: number[]; latests: number[]; fromFile: number[] };

function sealOnce(path: string, options: SignalOptions, readings: number): Run {
  const database = openDatabase({ path, mode: 'write' });
  const found: Run = { pieces: [], latests: [], fromFile: [] };
  const signal = openSignal(options);
  const history = openHistory(database);
  const latest = openLatestReadings(history.latest());
  const reading = openDatabase({ path, mode: 'read' });
  try {
    const range = openHistoryRange(reading);
    for (let done = 0; done < readings; done += perCommit) {
      const items = Array.from({ length: perCommit }, () => {
        const { atMs, tempC } = signal.next();
        return { probe: benchProbe, tempC, flags: 0, receivedMs: atMs + 3, stamp: { atMs } };
      });
      history.commitReadings(items, done + 1);
      latest.see(items.map((item, place) => inputOf(item, done + 1 + place)));
      range.newest(benchProbe);
      for (;;) {
        const fromMs = performance.now();
        if (!history.tend()) break;
        found.pieces.push(performance.now() - fromMs);
        found.latests.push(timeNewest(() => latest.of(benchProbe)?.atMs, items.at(-1)?.stamp.atMs));
        found.fromFile.push(timeNewest(() => range.newest(benchProbe)?.atMs, items.at(-1)?.stamp.atMs));
      }
    }
    return found;
  } finally {
    reading.close();
    database.close();
  }
}

function timeNewest(ask: () => number | undefined, wanted: number | undefined): number {
  const fromMs = performance.now();
  const found = ask();
  const spentMs = performance.now() - fromMs;
  if (found !== wanted) throw new Error(`the newest reading must be of ${wanted}, got ${found}`);
  return spentMs;
}

function inputOf(
  {
    probe,
    tempC,
    flags,
    receivedMs,
    stamp,
  }: { probe: string; tempC: number; flags: number; receivedMs: number; stamp: { atMs: number } },
  inputSeq: number,
): Input {
  return { inputSeq, receivedMs, kind: 'reading', reading: { probe, atMs: stamp.atMs, tempC, flags } };
}
