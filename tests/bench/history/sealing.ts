/** What sealing keeps from others: how long a commit may wait for it, and the newest reading just after. */
import { openHistory } from '../../../daemon/history/history.ts';
import { openHistoryRange } from '../../../daemon/history/range.ts';
import { openDatabase } from '../../../daemon/sqlite/database.ts';
import { benchProbe } from './build.ts';
import { openSignal, type SignalOptions } from './signals.ts';

export type SealFigures = {
  /** Pieces of sealing, each synced: the longest and the median, ms. */
  longestMs: number;
  medianMs: number;
  pieces: number;
  /** The median of the first question for the newest reading after a piece, asked of another connection, ms. */
  latestMs: number;
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
  const latests = runs.flatMap(({ latests }) => latests).sort((a, b) => a - b);
  return {
    longestMs: pieces.at(-1) ?? 0,
    medianMs: pieces[pieces.length >> 1] ?? 0,
    pieces: pieces.length,
    latestMs: latests[latests.length >> 1] ?? 0,
  };
}

type Run = { pieces: number[]; latests: number[] };

function sealOnce(path: string, options: SignalOptions, readings: number): Run {
  const database = openDatabase({ path, mode: 'write' });
  const found: Run = { pieces: [], latests: [] };
  const signal = openSignal(options);
  const history = openHistory(database);
  const reading = openDatabase({ path, mode: 'read' });
  try {
    const range = openHistoryRange(reading);
    for (let done = 0; done < readings; done += perCommit) {
      const items = Array.from({ length: perCommit }, () => {
        const { atMs, tempC } = signal.next();
        return { probe: benchProbe, tempC, flags: 0, receivedMs: atMs + 3, stamp: { atMs } };
      });
      history.commitReadings(items, done + 1);
      range.newest(benchProbe);
      for (;;) {
        const fromMs = performance.now();
        if (!history.tend()) break;
        found.pieces.push(performance.now() - fromMs);
        const askedMs = performance.now();
        if (range.newest(benchProbe)?.atMs !== items.at(-1)?.stamp.atMs)
          throw new Error('the newest must be found');
        found.latests.push(performance.now() - askedMs);
      }
    }
    return found;
  } finally {
    reading.close();
    database.close();
  }
}
