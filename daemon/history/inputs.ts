/** What the history tells on opening: the inputs after a cursor, each probe's newest reading, the last number. */
import type { Input, Reading } from '../../shared/contract/input.ts';
import type { Database } from '../sqlite/database.ts';
import type { Eras } from './era.ts';
import { unpackCommit } from './log-row.ts';
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

type LogRow = { firstSeq: number; count: number; readings: Uint8Array };

export type InputsOptions = {
  database: Database;
  eras: Pick<Eras, 'seenOffsetOf'>;
  series: Pick<Series, 'probeOf'>;
  newest: (series: number) => Newest | undefined;
};

/** Rows of the log read in one go. */
const rowsPerAsk = 64;

/** Opens the questions that the writing side asks of its own history. */
export function openHistoryInputs({ database, eras, series, newest }: InputsOptions): HistoryInputs {
  const rowsFrom = database.prepare<LogRow>(
    `SELECT firstSeq, count, readings FROM log WHERE firstSeq >= ? ORDER BY firstSeq LIMIT ${rowsPerAsk}`,
  );
  const rowOf = database.prepare<{ firstSeq: number | null }>(
    'SELECT max(firstSeq) AS firstSeq FROM log WHERE firstSeq <= ?',
  );
  const probes = database.prepare<{ series: number; probe: string }>(
    'SELECT series, probe FROM series ORDER BY probe',
  );
  const last = database.prepare<{ firstSeq: number; count: number; receivedMs: number }>(
    'SELECT firstSeq, count, receivedMs FROM log ORDER BY firstSeq DESC LIMIT 1',
  );
  const inputsOf = ({ firstSeq, count, readings }: LogRow): Input[] => {
    const inputs: Input[] = [];
    unpackCommit(readings, count, ({ series: id, era, tMs, tempC, flags, receivedMs }) => {
      const reading = { probe: series.probeOf(id), atMs: tMs + (eras.seenOffsetOf(era) ?? 0), tempC, flags };
      inputs.push({ kind: 'reading', inputSeq: firstSeq + inputs.length, receivedMs, reading });
    });
    return inputs;
  };
  return {
    inputsAfter: (inputSeq, limit) => {
      const found: Input[] = [];
      let from = rowOf.first(inputSeq + 1)?.firstSeq ?? 0;
      while (found.length < limit) {
        const rows = rowsFrom.all(from);
        for (const row of rows) {
          for (const input of inputsOf(row)) if (input.inputSeq > inputSeq) found.push(input);
          from = row.firstSeq + 1;
          if (found.length >= limit) break;
        }
        if (rows.length < rowsPerAsk) break;
      }
      return found.slice(0, limit);
    },
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
