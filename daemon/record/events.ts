/** Questions for events, on a read-only connection. */
import { noticeCodes, type RecordEvent } from '../../shared/contract/event.ts';
import type { Database } from '../sqlite/database.ts';
import { expectAtMost } from '../sqlite/disk-fault.ts';
import { expectSchema } from '../sqlite/migrate.ts';
import { readEvent } from './chain.ts';
import { houseSchema } from './schema.ts';

export type RecordEvents = {
  /** Returns up to `limit` events numbered above `recordSeq`, in order. */
  eventsAfter(recordSeq: number, limit: number): RecordEvent[];
  /** Returns the newest `limit` events that speak to a person, oldest first; with `beforeSeq` those numbered under it. */
  noticesLast(limit: number, beforeSeq: number | null): RecordEvent[];
};

/** The most events in one answer; a higher limit throws `LIMIT_RULE`. */
export const eventsPerAnswerMax = 10_000;

type Row = { json: string; hash: string };

/** Opens the questions; throws where the file is not one of this release. */
export function openRecordEvents(database: Database): RecordEvents {
  expectSchema(database, houseSchema);
  const after = database.prepare<Row>(
    'SELECT json, hash FROM events WHERE recordSeq > ? ORDER BY recordSeq LIMIT ?',
  );
  const kinds = noticeCodes.map((code) => `'${code}'`).join(', ');
  const notices = database.prepare<Row>(
    `SELECT json, hash FROM events WHERE kind IN (${kinds}) AND recordSeq < ? ORDER BY recordSeq DESC LIMIT ?`,
  );
  const eventOf = ({ json, hash }: Row) => readEvent(json, hash);
  return {
    eventsAfter: (recordSeq, limit) => {
      expectAtMost('events of an answer', limit, eventsPerAnswerMax);
      return after.all(recordSeq, limit).map(eventOf);
    },
    noticesLast: (limit, beforeSeq) => {
      expectAtMost('notices of an answer', limit, eventsPerAnswerMax);
      return notices
        .all(beforeSeq ?? Number.MAX_SAFE_INTEGER, limit)
        .map(eventOf)
        .reverse();
    },
  };
}
