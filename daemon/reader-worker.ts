/** The entry of the reader's thread: read-only connections, opened at the first question to each file. */
import type { HistoryBucket } from '../shared/contract/api.ts';
import type { RecordEvent } from '../shared/contract/event.ts';
import { dataPaths } from './data-folder.ts';
import type { Newest } from './history/newest.ts';
import { type NumberedReading, openNumbered, type Unlogged } from './history/numbered.ts';
import { findProbesKept } from './history/probes-kept.ts';
import { openHistoryRange, type RangeAnswer, type RangeQuery } from './history/range.ts';
import type { RawQuery, RawSlice } from './history/raw.ts';
import { type HistoryVerifyProgress, openHistoryVerify } from './history/verify.ts';
import { openRecordEvents } from './record/events.ts';
import { openNotes } from './record/notes.ts';
import { type NoticeSpan, openNoticesBetween } from './record/notices-between.ts';
import { openRecordVerify, type VerifyProgress } from './record/verify.ts';
import { type Database, openDatabase } from './sqlite/database.ts';
import { serveThread } from './sqlite/thread.ts';

/** What the reader's thread can be asked: first `open`, which only says where the files are. */
export type ReaderCalls = {
  open(dataDir: string): void;
  range(query: RangeQuery): HistoryBucket[];
  envelope(query: RangeQuery): RangeAnswer;
  newest(probe: string): Newest | null;
  rawSlice(query: RawQuery): RawSlice;
  numberedAfter(inputSeq: number, limit: number): NumberedReading[];
  unloggedAfter(inputSeq: number): Unlogged | null;
  probesKept(): string[];
  noticesBetween(span: NoticeSpan): RecordEvent[];
  meta(): Record<string, string>;
  eventsAfter(recordSeq: number, limit: number): RecordEvent[];
  noticesLast(limit: number, beforeSeq: number | null): RecordEvent[];
  verifySlice(progress: VerifyProgress): VerifyProgress;
  historyVerifySlice(progress: HistoryVerifyProgress): HistoryVerifyProgress;
};

let paths = dataPaths('.');
const closers: (() => void)[] = [];

/** Returns what `over` makes of a file, opened at the first question; where that throws, the next tries again. */
function lazily<T>(path: () => string, over: (database: Database) => T): () => T {
  let held: T | undefined;
  return () => {
    held ??= opened(path(), over);
    return held;
  };
}

function opened<T>(path: string, over: (database: Database) => T): T {
  const database = openDatabase({ path, mode: 'read' });
  try {
    const made = over(database);
    closers.push(database.close);
    return made;
  } catch (error) {
    database.close();
    throw error;
  }
}

const history = lazily(
  () => paths.history,
  (database) => ({
    ...openHistoryRange(database),
    ...openNumbered(database),
    probesKept: findProbesKept(database),
  }),
);
const historyCheck = lazily(() => paths.history, openHistoryVerify);
const house = lazily(
  () => paths.house,
  (database) => ({
    ...openRecordEvents(database),
    ...openRecordVerify(database),
    ...openNotes(database),
    noticesBetween: openNoticesBetween(database),
  }),
);

serveThread<ReaderCalls>(
  {
    open: (dataDir) => {
      paths = dataPaths(dataDir);
    },
    range: (query) => history().range(query),
    envelope: (query) => history().envelope(query),
    newest: (probe) => history().newest(probe),
    rawSlice: (query) => history().rawSlice(query),
    noticesBetween: (span) => house().noticesBetween(span),
    numberedAfter: (inputSeq, limit) => history().numberedAfter(inputSeq, limit),
    unloggedAfter: (inputSeq) => history().unloggedAfter(inputSeq),
    probesKept: () => history().probesKept(),
    meta: () => house().meta(),
    eventsAfter: (recordSeq, limit) => house().eventsAfter(recordSeq, limit),
    noticesLast: (limit, beforeSeq) => house().noticesLast(limit, beforeSeq),
    verifySlice: (progress) => house().verifySlice(progress),
    historyVerifySlice: (progress) => historyCheck().historyVerifySlice(progress),
  },
  () => {
    for (const close of closers) close();
  },
);
