/** The main thread's side of the reader: every question to the disk that may take long. */
import type { HistoryBucket } from '../shared/contract/api.ts';
import type { RecordEvent } from '../shared/contract/event.ts';
import type { RangeQuery, RawQuery, RawReading } from './history/range.ts';
import type { VerifyReport } from './record/verify.ts';

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
   * Gives every reading (also undated ones) of a probe from `fromMs` up to but not at `toMs`, in order of
   * instant, in slices of at most `rawSliceMax`; other questions are answered between slices.
   */
  rawRange(query: RawQuery): AsyncGenerator<RawReading[], void, void>;
  /** Returns up to `limit` events numbered above `recordSeq`, in order. */
  eventsAfter(recordSeq: number, limit: number): Promise<RecordEvent[]>;
  /** Returns the newest `limit` events that speak to a person, oldest first. */
  noticesLast(limit: number): Promise<RecordEvent[]>;
  /** Checks the whole record in slices and reports what is wrong; tells how many events are checked so far. */
  verify(onProgress?: (events: number) => void): Promise<VerifyReport>;
  /** Ends after the questions asked so far. Safe to call twice. */
  close(): Promise<void>;
};
