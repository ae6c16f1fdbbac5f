/** The main thread's side of the reader: every question to the disk that may take long. */
import type { HistoryBucket } from '../shared/contract/api.ts';
import type { RecordEvent } from '../shared/contract/event.ts';
import type { Newest } from './history/newest.ts';
import type { NumberedReading, Unlogged } from './history/numbered.ts';
import type { RangeAnswer, RangeQuery } from './history/range.ts';
import type { RawQuery, RawReading, RawSlice } from './history/raw.ts';
import {
  type HistoryVerifyProgress,
  type HistoryVerifyReport,
  historyVerifyStart,
} from './history/verify.ts';
import type { ReaderCalls } from './reader-worker.ts';
import type { NoticeSpan } from './record/notices-between.ts';
import { type VerifyReport, verifyStart } from './record/verify.ts';
import { openThread, type Thread, workerUrl } from './sqlite/thread.ts';

export type ReaderOptions = {
  /** A folder in which a writer has opened the files, now or earlier. */
  dataDir: string;
  /** Called once if the thread ends by a bug; every open and later call then rejects with `THREAD_GONE`. */
  onGone?: (error: Error) => void;
};

/**
 * Questions, answered in order from read-only connections that never make the writer wait. Each file is
 * opened at its first question, so that the record can be read where the history is lost. A missing file
 * rejects with `DATA_MISSING`, a damaged one with `DATA_DAMAGED`.
 */
export type Reader = {
  /**
   * Returns least, most, mean and count of a probe's dated readings from `fromMs` up to but not at `toMs`
   * in `points` equal spans; spans without a reading and unknown probes give none. Rejects with
   * `RANGE_RULE` where the query breaks a rule.
   */
  range(query: RangeQuery): Promise<HistoryBucket[]>;
  /**
   * The same with the edges that were used (`snap` moves them outwards to whole minutes, hours or days, so
   * that roll-ups answer alone), the gaps between readings, and the stretches lost to damage.
   */
  envelope(query: RangeQuery): Promise<RangeAnswer>;
  /** Returns a probe's newest dated reading; null where it has none. */
  newest(probe: string): Promise<Newest | null>;
  /**
   * Gives every reading (also undated ones) of a probe from `fromMs` up to but not at `toMs`, in order of
   * instant, in slices of about `rawSliceMax`; other questions are answered between slices.
   */
  rawRange(query: RawQuery): AsyncGenerator<RawReading[], void, void>;
  /** Returns up to `limit` readings of the log numbered above `inputSeq`, in order; fewer are the last. */
  numberedAfter(inputSeq: number, limit: number): Promise<NumberedReading[]>;
  /** Returns what follows a number and is not in the log any more; null where all of it is. */
  unloggedAfter(inputSeq: number): Promise<Unlogged | null>;
  /** Returns every probe that the history holds readings of, by id. */
  probesKept(): Promise<string[]>;
  /** Returns the events of a span that speak to a person, newest first, at most `limit`. */
  noticesBetween(span: NoticeSpan): Promise<RecordEvent[]>;
  /** Returns the house's own notes: its id and the like. */
  meta(): Promise<Record<string, string>>;
  /** Returns up to `limit` events numbered above `recordSeq`, in order. */
  eventsAfter(recordSeq: number, limit: number): Promise<RecordEvent[]>;
  /** Returns the newest `limit` events that speak to a person, oldest first; with `beforeSeq` those numbered under it. */
  noticesLast(limit: number, beforeSeq: number | null): Promise<RecordEvent[]>;
  /** Checks the whole record in slices and reports what is wrong; tells how many events are checked so far. */
  verify(onProgress?: (events: number) => void): Promise<VerifyReport>;
  /** Checks all of the history in slices, of a file that may be in use, and reports what is damaged. */
  verifyHistory(onProgress?: (progress: HistoryVerifyProgress) => void): Promise<HistoryVerifyReport>;
  /** Ends after the questions asked so far. Safe to call twice. */
  close(): Promise<void>;
};

/** Starts the reader's thread; it touches a file only when it is first asked about it. */
export async function openReader({ dataDir, onGone }: ReaderOptions): Promise<Reader> {
  const thread = openThread<ReaderCalls>(workerUrl('./reader-worker', import.meta.url), onGone);
  await thread.call('open', dataDir);
  return {
    range: (query) => thread.call('range', query),
    envelope: (query) => thread.call('envelope', query),
    newest: (probe) => thread.call('newest', probe),
    rawRange: (query) => rawRange(thread, query),
    noticesBetween: (span) => thread.call('noticesBetween', span),
    numberedAfter: (inputSeq, limit) => thread.call('numberedAfter', inputSeq, limit),
    unloggedAfter: (inputSeq) => thread.call('unloggedAfter', inputSeq),
    probesKept: () => thread.call('probesKept'),
    meta: () => thread.call('meta'),
    eventsAfter: (recordSeq, limit) => thread.call('eventsAfter', recordSeq, limit),
    noticesLast: (limit, beforeSeq) => thread.call('noticesLast', limit, beforeSeq),
    verify: (onProgress) => verify(thread, onProgress),
    verifyHistory: (onProgress) => verifyHistory(thread, onProgress),
    close: thread.close,
  };
}

async function* rawRange(
  thread: Thread<ReaderCalls>,
  query: RawQuery,
): AsyncGenerator<RawReading[], void, void> {
  for (let fromMs: number | null = query.fromMs; fromMs !== null; ) {
    const slice: RawSlice = await thread.call('rawSlice', { ...query, fromMs });
    if (slice.readings.length > 0) yield slice.readings;
    fromMs = slice.nextMs === null || slice.nextMs >= query.toMs ? null : slice.nextMs;
  }
}

async function verify(
  thread: Thread<ReaderCalls>,
  onProgress?: (events: number) => void,
): Promise<VerifyReport> {
  let progress = verifyStart;
  while (!progress.done) {
    progress = await thread.call('verifySlice', progress);
    onProgress?.(progress.events);
  }
  const { events, lastHash, faults, faultCount } = progress;
  return { events, lastHash, faults, faultCount };
}

async function verifyHistory(
  thread: Thread<ReaderCalls>,
  onProgress?: (progress: HistoryVerifyProgress) => void,
): Promise<HistoryVerifyReport> {
  let progress = historyVerifyStart;
  while (progress.stage !== 'done') {
    progress = await thread.call('historyVerifySlice', progress);
    onProgress?.(progress);
  }
  const { stage: _, after: __, ...report } = progress;
  return report;
}
