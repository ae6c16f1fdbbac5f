/** What the history tells on opening: the inputs after a cursor, each probe's newest reading, the last number. */
import type { Input, Reading } from '../../shared/contract/input.ts';
import type { Database } from '../sqlite/database.ts';
import { newestOfEach } from './series.ts';

export type HistoryInputs = {
  /** Returns up to `limit` readings numbered above `inputSeq`, in order, with the instants by which the watching saw them. */
  inputsAfter(inputSeq: number, limit: number): Input[];
  /** Returns each probe's newest dated reading, by probe id. */
  latest(): Reading[];
  /** Returns the newest reading's number and receipt; null where there is none. */
  last(): { inputSeq: number; receivedMs: number } | null;
};

type InputRow = { inputSeq: number; receivedMs: number } & Reading;

/** Opens the questions that the writing side asks of its own history. */
export function openHistoryInputs(database: Database): HistoryInputs {
  const after = database.prepare<InputRow>(
    `SELECT r.inputSeq, r.receivedMs, s.probe, r.tMs + e.seenOffsetMs AS atMs, r.tempC, r.flags
     FROM readings r INDEXED BY readings_by_input CROSS JOIN series s USING (series) CROSS JOIN eras e USING (era)
     WHERE r.inputSeq > ? ORDER BY r.inputSeq LIMIT ?`,
  );
  const probes = database.prepare<{ series: number; probe: string }>(
    'SELECT series, probe FROM series ORDER BY probe',
  );
  const newest = database.prepare<Omit<Reading, 'probe'>>(newestOfEach);
  const last = database.prepare<{ inputSeq: number; receivedMs: number }>(
    'SELECT inputSeq, receivedMs FROM readings ORDER BY inputSeq DESC LIMIT 1',
  );
  return {
    inputsAfter: (inputSeq, limit) =>
      after.all(inputSeq, limit).map(({ inputSeq: seq, receivedMs, probe, atMs, tempC, flags }) => ({
        kind: 'reading',
        inputSeq: seq,
        receivedMs,
        reading: { probe, atMs, tempC, flags },
      })),
    latest: () =>
      probes.all().flatMap(({ series, probe }) => {
        const found = newest.first(series);
        return found === undefined ? [] : [{ probe, ...found }];
      }),
    last: () => {
      const found = last.first();
      return found === undefined ? null : { ...found };
    },
  };
}
