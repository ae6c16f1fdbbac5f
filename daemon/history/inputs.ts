/** What the history tells on opening: the inputs after a cursor, each probe's newest reading, the last number. */
import type { Input, Reading } from '../../shared/contract/input.ts';
import type { Database } from '../sqlite/database.ts';
import type { Eras } from './era.ts';
import { openLog } from './log.ts';
import type { Newest } from './newest.ts';
import type { Series } from './series.ts';

export type HistoryInputs = {
  /**
   * Returns up to `limit` readings of the log numbered above `inputSeq`, in order, with the instants by which
   * the watching saw them. What the log has let go of (`tend.ts`) is in no answer: the first one then begins
   * with the oldest reading of the log.
   */
  inputsAfter(inputSeq: number, limit: number): Input[];
  /** Returns each probe's newest dated reading, by probe id. */
  latest(): Reading[];
  /** Returns the newest reading's number and receipt; null where the log holds none. */
  last(): { inputSeq: number; receivedMs: number } | null;
};

export type InputsOptions = {
  database: Database;
  eras: Pick<Eras, 'seenOffsetOf'>;
  series: Pick<Series, 'probeOf'>;
  newest: (series: number) => Newest | undefined;
};

/** Opens the questions that the writing side asks of its own history. */
export function openHistoryInputs({ database, eras, series, newest }: InputsOptions): HistoryInputs {
  const log = openLog(database);
  const probes = database.prepare<{ series: number; probe: string }>(
    'SELECT series, probe FROM series ORDER BY probe',
  );
  const last = database.prepare<{ firstSeq: number; count: number; receivedMs: number }>(
    'SELECT firstSeq, count, receivedMs FROM log ORDER BY firstSeq DESC LIMIT 1',
  );
  return {
    inputsAfter: (inputSeq, limit) =>
      log.after(inputSeq, limit, ({ series: id, era, tMs, tempC, flags, receivedMs }, seq): Input => {
        const atMs = tMs + (eras.seenOffsetOf(era) ?? 0);
        const reading = { probe: series.probeOf(id), atMs, tempC, flags };
        return { kind: 'reading', inputSeq: seq, receivedMs, reading };
      }),
    latest: () =>
      probes.all().flatMap(({ series: id, probe }) => {
        const found = newest(id);
        return found === undefined ? [] : [{ probe, ...found }];
      }),
    last: () => {
      const found = last.first();
      if (found === undefined) return null;
      return { inputSeq: found.firstSeq + found.count - 1, receivedMs: found.receivedMs };
    },
  };
}
