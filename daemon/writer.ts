/** The main thread's side of the writer: the only way to change what is on disk. */

import type { RecordEvent } from '../shared/contract/event.ts';
import type { Input, Reading } from '../shared/contract/input.ts';
import type { EraLearned, EraStart } from './history/era.ts';
import type { IntakeItem, Verdict } from './history/intake-item.ts';
import type { Outcome, Snapshot } from './record/outcome.ts';
import type { ClockStep, SaidWord } from './record/person-input.ts';

export type WriterOptions = {
  /** The folder that holds `house.db` and `history.db`; made where it is missing. */
  dataDir: string;
  /** Called once if the thread ends by a bug; every open and later call then rejects with `THREAD_GONE`. */
  onGone?: (error: Error) => void;
  /** For tests and benches: each commit of readings takes this much longer, as on a slow disk. */
  commitDelayMs?: number;
  /** For fault proofs: the n-th transaction of either file, counted from 1 after opening, fails as it commits. */
  failNthWrite?: number;
  /** How many transactions from the n-th on fail; 1 unless given. */
  failWrites?: number;
};

/** What was found on disk at opening. */
export type Opened = {
  /** The number that the next input will get. */
  nextInputSeq: number;
  /** The newest event's number; 0 where the record is empty. */
  recordSeq: number;
  /** True where `house.db` knows of an earlier run but `history.db` was missing or empty: a new one was made. */
  historyLost: boolean;
  /** True where `history.db` holds readings but `house.db` was missing or empty: a new one was made. */
  houseLost: boolean;
  /** Receipt of the newest input of either file, epoch ms; null where there is none. */
  lastReceivedMs: number | null;
};

/**
 * Every change to the two files, in the order of the calls; any number may be open at once (at most
 * `openCallsMax`). A call that resolves is on disk and synced. A call that rejects has changed nothing and
 * used no number: the caller must not acknowledge, and may call again. Arguments are copied at the call.
 */
export type Writer = {
  readonly opened: Opened;
  /**
   * Keeps readings in one transaction and returns one verdict for each, in order; the stored ones are
   * numbered consecutively. One bad row does not fail the others. At most `readingsPerCommitMax` items.
   */
  commitReadings(items: readonly IntakeItem[]): Promise<Verdict[]>;
  /** Keeps a person's word; where its `wordId` was said before, keeps nothing and gives the first number. */
  commitWord(said: SaidWord): Promise<{ inputSeq: number; already: boolean }>;
  /** Keeps a step of the clock, or the clock becoming known, as an input. */
  commitClock(step: ClockStep): Promise<{ inputSeq: number }>;
  /**
   * Numbers, chains and keeps happenings, and keeps snapshots, in one transaction. A happening whose id is
   * already in the record is left out. Returns the events that are new, in order.
   */
  appendOutcome(outcome: Outcome): Promise<RecordEvent[]>;
  /** Opens an era for receipt stamps and returns its id, from 1. */
  openEra(start: EraStart): Promise<number>;
  /** Sets what an era's offset to UTC turned out to be; its readings move with it, none is rewritten. */
  learnEra(learned: EraLearned): Promise<void>;
  /** Returns up to `limit` inputs of both files with numbers above `inputSeq`, in order, eras resolved. */
  inputsAfter(inputSeq: number, limit: number): Promise<Input[]>;
  /** Returns each probe's newest dated reading, by probe id. */
  latest(): Promise<Reading[]>;
  /** Returns every lane's snapshot. */
  snapshots(): Promise<Snapshot[]>;
  /** Returns the house's own notes: its id and the like. */
  meta(): Promise<Record<string, string>>;
  /** Keeps one note under a key, in place of what was there. */
  setMeta(key: string, value: string): Promise<void>;
  /** Ends after the calls made so far: checkpoints and closes both files, gives up the folder. Safe to call twice. */
  close(): Promise<void>;
};
