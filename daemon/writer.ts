/** The main thread's side of the writer: the only way to change what is on disk. */
import type { RecordEvent } from '../shared/contract/event.ts';
import type { Input, Reading } from '../shared/contract/input.ts';
import type { DiskOptions, Opened } from './disk.ts';
import type { EraLearned, EraStart } from './history/era.ts';
import type { IntakeItem, Verdict } from './history/intake-item.ts';
import type { Matter } from './notify/manners/state.ts';
import type { JournalRow, OutboxLetter } from './notify/outbox-letters.ts';
import type { Settlement, WayState } from './notify/outbox-ways.ts';
import type { PeopleChange, PeopleKept } from './people/kept.ts';
import type { Outcome, Snapshot } from './record/outcome.ts';
import type { ClockStep, HouseStart, SaidWord } from './record/person-input.ts';
import { openThread, workerUrl } from './sqlite/thread.ts';
import type { WriterCalls } from './writer-worker.ts';

export type WriterOptions = DiskOptions & {
  /** Called once if the thread ends by a bug; every open and later call then rejects with `THREAD_GONE`. */
  onGone?: (error: Error) => void;
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
  /** Keeps a start of the daemon as an input. */
  commitStart(start: HouseStart): Promise<{ inputSeq: number }>;
  /**
   * Numbers, chains and keeps happenings, and keeps snapshots, in one transaction. A happening whose id is
   * already in the record is left out. Returns the events that are new, in order. Rejects with
   * `EVENT_RULE` where a happening is not of the closed union; that is a bug, and trying again is no use.
   */
  appendOutcome(outcome: Outcome): Promise<RecordEvent[]>;
  /** Writes the letters that fall due with time alone; says when to look again, null for never. */
  turnNotices(nowMs: number): Promise<{ wakeAtMs: number | null; letters: number }>;
  /** Returns up to `limit` letters of a way that are not settled, in order. */
  lettersOf(way: string, limit: number): Promise<OutboxLetter[]>;
  /** Keeps what a try to send a letter came to, and the letters by which other ways take over. */
  settleLetter(settlement: Settlement): Promise<WayState>;
  /** Keeps that a test arrived by a way. */
  proveWay(way: string, nowMs: number): Promise<WayState>;
  /** Returns how ways stand and how many letters wait for each. */
  ways(ids: readonly string[]): Promise<(WayState & { waiting: number })[]>;
  /** Returns the newest lines of the notices' journal, newest first; with `beforeSeq` those before it. */
  journal(limit: number, beforeSeq: number | null): Promise<JournalRow[]>;
  /** Returns the matters that stand open, the heaviest first. */
  openMatters(): Promise<Matter[]>;
  /** Returns the people, their sessions, the probes' keys and how the door stands. */
  peopleKept(): Promise<PeopleKept>;
  /** Keeps changes of these in one transaction, in order. */
  keepPeople(changes: PeopleChange[]): Promise<void>;
  /** Opens an era for receipt stamps and returns its id, from 1. */
  openEra(start: EraStart): Promise<number>;
  /** Sets what an era's offset to UTC turned out to be; its curve moves with it, no reading is rewritten. */
  learnEra(learned: EraLearned): Promise<void>;
  /** Returns up to `limit` inputs of both files with numbers above `inputSeq`, in order, with instants as the watching saw them. */
  inputsAfter(inputSeq: number, limit: number): Promise<Input[]>;
  /**
   * Says that every reading from now on comes from a file: it is kept and numbered as any other, and
   * `inputsAfter` leaves it out, also after a crash.
   */
  beginImport(): Promise<void>;
  /** Says that the file is over. */
  endImport(): Promise<void>;
  /** Returns each probe's newest dated reading, by probe id. */
  latest(): Promise<Reading[]>;
  /** Returns every lane's snapshot, by lane. */
  snapshots(): Promise<Snapshot[]>;
  /** Returns the house's own notes: its id and the like. */
  meta(): Promise<Record<string, string>>;
  /** Keeps one note under a key, in place of what was there. */
  setMeta(key: string, value: string): Promise<void>;
  /** Ends after the calls made so far: checkpoints and closes both files, gives up the folder. Safe to call twice. */
  close(): Promise<void>;
};

/**
 * Starts the writer's thread on a data folder. Rejects with a `DiskFault` where it cannot be had:
 * `DATA_BUSY`, `DATA_DAMAGED`, `DATA_FOLDER`, `DATA_FOREIGN`, `DATA_NEWER`; then nothing stays open.
 */
export async function openWriter({ onGone, ...options }: WriterOptions): Promise<Writer> {
  const thread = openThread<WriterCalls>(workerUrl('./writer-worker', import.meta.url), onGone);
  const opened = await thread.call('open', options).catch(async (error: unknown) => {
    await thread.close();
    throw error;
  });
  return {
    opened,
    commitReadings: (items) => thread.call('commitReadings', items),
    commitWord: (said) => thread.call('commitWord', said),
    commitClock: (step) => thread.call('commitClock', step),
    commitStart: (start) => thread.call('commitStart', start),
    appendOutcome: (outcome) => thread.call('appendOutcome', outcome),
    turnNotices: (nowMs) => thread.call('turnNotices', nowMs),
    lettersOf: (way, limit) => thread.call('lettersOf', way, limit),
    settleLetter: (settlement) => thread.call('settleLetter', settlement),
    proveWay: (way, nowMs) => thread.call('proveWay', way, nowMs),
    ways: (ids) => thread.call('ways', ids),
    journal: (limit, beforeSeq) => thread.call('journal', limit, beforeSeq),
    openMatters: () => thread.call('openMatters'),
    peopleKept: () => thread.call('peopleKept'),
    keepPeople: (changes) => thread.call('keepPeople', changes),
    openEra: (start) => thread.call('openEra', start),
    learnEra: (learned) => thread.call('learnEra', learned),
    inputsAfter: (inputSeq, limit) => thread.call('inputsAfter', inputSeq, limit),
    beginImport: () => thread.call('beginImport'),
    endImport: () => thread.call('endImport'),
    latest: () => thread.call('latest'),
    snapshots: () => thread.call('snapshots'),
    meta: () => thread.call('meta'),
    setMeta: (key, value) => thread.call('setMeta', key, value),
    close: thread.close,
  };
}
