import { noticeCodes, type RecordEvent } from '../../shared/contract/event.ts';
import type { Database } from '../sqlite/database.ts';
import { expectAtMost } from '../sqlite/disk-fault.ts';
import { readEvent } from './chain.ts';
import { eventsPerAnswerMax } from './events.ts';

/** A span of instants, epoch ms, `toMs` not included. */
export type NoticeSpan = { fromMs: number; toMs: number; limit: number };

/**
 * Opens the question for events that speak to a person within a span, newest first, at most `limit`. It
 * looks through the record, which has some thousands of events a year.
 */
export function openNoticesBetween(database: Database): (span: NoticeSpan) => RecordEvent[] {
  const kinds = noticeCodes.map((code) => `'${code}'`).join(', ');
  const between = database.prepare<{ json: string; hash: string }>(
    `SELECT json, hash FROM events WHERE atMs >= ? AND atMs < ? AND kind IN (${kinds})
     ORDER BY recordSeq DESC LIMIT ?`,
  );
  return ({ fromMs, toMs, limit }) => {
    expectAtMost('notices of an answer', limit, eventsPerAnswerMax);
    return between.all(fromMs, toMs, limit).map(({ json, hash }) => readEvent(json, hash));
  };
}
