/** Both files of a house on their write connections, and the one order of its inputs. */
import type { Input } from '../shared/contract/input.ts';
import { openDataFolder } from './data-folder.ts';
import { type History, openHistory } from './history/history.ts';
import type { IntakeItem, Verdict } from './history/intake-item.ts';
import { openImportedRanges } from './imported-ranges.ts';
import type { MannersRules } from './notify/manners/rules.ts';
import { type Outbox, openOutbox } from './notify/outbox.ts';
import { openPeopleFile, type PeopleFile } from './people/people-file.ts';
import type { ClockStep, HouseStart, SaidWord } from './record/person-input.ts';
import { type HouseRecord, openRecord } from './record/record.ts';
import { type Database, openDatabase } from './sqlite/database.ts';
import { DiskFault, expectAtMost } from './sqlite/disk-fault.ts';

export type DiskOptions = {
  /** The folder that holds `house.db` and `history.db`; made where it is missing. */
  dataDir: string;
  /** Who is told of what is kept, and when; nobody unless given. */
  manners?: MannersRules;
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
  /** True where `house.db` tells of an earlier run but `history.db` was missing or empty: a new one was made. */
  historyLost: boolean;
  /** True where `history.db` holds readings but `house.db` was missing or empty: a new one was made. */
  houseLost: boolean;
  /** Receipt of the newest input of either file, epoch ms; null where there is none. */
  lastReceivedMs: number | null;
};

/** The most inputs in one answer of `inputsAfter`; a higher limit throws `LIMIT_RULE`. */
export const inputsPerAnswerMax = 10_000;

/** Every change to the two files; what throws has changed nothing and used no number. */
export type Disk = Pick<History, 'openEra' | 'learnEra' | 'latest' | 'tend'> &
  Omit<Outbox, 'onKept'> &
  PeopleFile &
  Pick<HouseRecord, 'appendOutcome' | 'snapshots' | 'meta' | 'setMeta'> & {
    readonly opened: Opened;
    commitReadings(items: readonly IntakeItem[]): Verdict[];
    commitWord(said: SaidWord): { inputSeq: number; already: boolean };
    commitClock(step: ClockStep): { inputSeq: number };
    commitStart(start: HouseStart): { inputSeq: number };
    inputsAfter(inputSeq: number, limit: number): Input[];
    beginImport(): void;
    endImport(): void;
    /** Checkpoints and closes both files and gives up the folder. */
    close(): void;
  };

/**
 * Takes the folder and opens or makes its files. Throws a `DiskFault` where that fails; then nothing stays
 * open, and a file that is damaged, foreign or of a later release is as it was.
 */
export function openDisk(options: DiskOptions): Disk {
  const folder = openDataFolder(options.dataDir);
  const closers = [folder.close];
  const close = () => {
    for (const each of closers.splice(0).reverse()) each();
  };
  const plan = writePlan(options);
  const opened = (path: string): Database => {
    const database = openDatabase({ path, mode: 'write', beforeCommit: plan.beforeCommit });
    closers.push(database.close);
    return database;
  };
  try {
    // The house first: where it cannot be opened, a missing history is not made and stays known as lost.
    const house = opened(folder.paths.house);
    const record = openRecord(house, (events, nowMs) => outbox.onKept(events, nowMs));
    const outbox = openOutbox(house, options.manners ?? nobodyIsTold);
    const people = openPeopleFile(house);
    const history = openHistory(opened(folder.paths.history));
    plan.arm();
    return diskOver(record, history, { outbox, people, close, delayMs: options.commitDelayMs ?? 0 });
  } catch (error) {
    close();
    throw error;
  }
}

/** A house of commands alone, such as an import, tells nobody. */
const nobodyIsTold: MannersRules = { receivers: [], region: 'household' };

function diskOver(
  record: HouseRecord,
  history: History,
  {
    outbox,
    people,
    close,
    delayMs,
  }: { outbox: Outbox; people: PeopleFile; close: () => void; delayMs: number },
): Disk {
  const opened = stateOf(record, history);
  let nextSeq = opened.nextInputSeq;
  const imported = openImportedRanges(record, nextSeq);
  return {
    opened,
    openEra: history.openEra,
    learnEra: history.learnEra,
    latest: history.latest,
    tend: history.tend,
    turnNotices: outbox.turnNotices,
    lettersOf: outbox.lettersOf,
    settleLetter: outbox.settleLetter,
    proveWay: outbox.proveWay,
    ways: outbox.ways,
    journal: outbox.journal,
    openMatters: outbox.openMatters,
    peopleKept: people.peopleKept,
    keepPeople: people.keepPeople,
    appendOutcome: record.appendOutcome,
    snapshots: record.snapshots,
    meta: record.meta,
    setMeta: record.setMeta,
    commitReadings: (items) => {
      if (delayMs > 0) sleep(delayMs);
      const verdicts = history.commitReadings(items, nextSeq);
      nextSeq += verdicts.filter(({ is }) => is === 'stored').length;
      return verdicts;
    },
    commitWord: (said) => {
      const kept = record.commitWord(said, nextSeq);
      if (!kept.already) nextSeq += 1;
      return kept;
    },
    commitClock: (step) => {
      const kept = record.commitClock(step, nextSeq);
      nextSeq += 1;
      return kept;
    },
    commitStart: (start) => {
      const kept = record.commitStart(start, nextSeq);
      nextSeq += 1;
      return kept;
    },
    inputsAfter: (inputSeq, limit) => {
      expectAtMost('inputs of an answer', limit, inputsPerAnswerMax);
      // An answer may not be empty while inputs follow: that would end a resume.
      for (let afterSeq = imported.skipFrom(inputSeq); ; ) {
        const found = [...history.inputsAfter(afterSeq, limit), ...record.inputsAfter(afterSeq, limit)]
          .sort((a, b) => a.inputSeq - b.inputSeq)
          .slice(0, limit);
        const watched = found.filter((input) => !imported.has(input.inputSeq));
        const last = found.at(-1);
        if (last === undefined || watched.length > 0) return watched;
        afterSeq = imported.skipFrom(last.inputSeq);
      }
    },
    beginImport: () => imported.begin(nextSeq),
    endImport: () => imported.end(nextSeq),
    close,
  };
}

function stateOf(record: HouseRecord, history: History): Opened {
  const { recordSeq } = record.end();
  const cursors = record.snapshots().map(({ inputSeq }) => inputSeq);
  const lasts = [history.last(), record.last()].filter((last) => last !== null);
  const lastSeq = Math.max(0, ...cursors, ...lasts.map(({ inputSeq }) => inputSeq));
  const houseEmpty = recordSeq === 0 && cursors.length === 0 && record.last() === null;
  return {
    nextInputSeq: lastSeq + 1,
    recordSeq,
    historyLost: history.isNew && !houseEmpty,
    houseLost: record.isNew && history.last() !== null,
    lastReceivedMs: lasts.length === 0 ? null : Math.max(...lasts.map(({ receivedMs }) => receivedMs)),
  };
}

/** Counts the transactions after opening and fails those that a fault proof asks for. */
function writePlan({ failNthWrite, failWrites = 1 }: DiskOptions): {
  beforeCommit: () => void;
  arm: () => void;
} {
  let writes = 0;
  let armed = false;
  return {
    arm: () => {
      armed = true;
    },
    beforeCommit: () => {
      if (!armed || failNthWrite === undefined) return;
      writes += 1;
      if (writes < failNthWrite || writes >= failNthWrite + failWrites) return;
      throw new DiskFault('DISK_FAILED', `write ${writes} must succeed, got a planted fault. Try again.`);
    },
  };
}

function sleep(spanMs: number): void {
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, spanMs);
}
