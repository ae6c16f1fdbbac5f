/** The entry of the writer's thread: it alone holds the write connections, and answers `writer.ts` in order. */
import { type Disk, type DiskOptions, openDisk } from './disk.ts';
import { DiskFault } from './sqlite/disk-fault.ts';
import { serveThread } from './sqlite/thread.ts';

/** What the writer's thread can be asked: first `open`, then all that a disk does but tend, which it does by itself. */
export type WriterCalls = Omit<Disk, 'opened' | 'close' | 'tend'> & {
  open(options: DiskOptions): Disk['opened'];
};

let disk: Disk | null = null;

function held(): Disk {
  if (disk === null) throw new Error('the disk must be opened first, got a call before it.');
  return disk;
}

let tending: NodeJS.Immediate | null = null;

/** Seals and lets go a piece at a time after commits; what is asked meanwhile comes between two pieces. */
function tendSoon(): void {
  tending ??= setImmediate(() => {
    tending = null;
    try {
      if (disk?.tend()) tendSoon();
    } catch (error) {
      // A disk that fails is told of by the commits that fail with it; the next one brings the next try.
      if (!(error instanceof DiskFault)) throw error;
    }
  });
}

serveThread<WriterCalls>(
  {
    open: (options) => {
      disk = openDisk(options);
      return disk.opened;
    },
    commitReadings: (items) => {
      const verdicts = held().commitReadings(items);
      tendSoon();
      return verdicts;
    },
    commitWord: (said) => held().commitWord(said),
    commitClock: (step) => held().commitClock(step),
    commitStart: (start) => held().commitStart(start),
    appendOutcome: (outcome) => held().appendOutcome(outcome),
    turnNotices: (nowMs) => held().turnNotices(nowMs),
    lettersOf: (way, limit) => held().lettersOf(way, limit),
    settleLetter: (settlement) => held().settleLetter(settlement),
    proveWay: (way, nowMs) => held().proveWay(way, nowMs),
    ways: (ids) => held().ways(ids),
    journal: (limit, beforeSeq) => held().journal(limit, beforeSeq),
    openMatters: () => held().openMatters(),
    peopleKept: () => held().peopleKept(),
    keepPeople: (changes) => held().keepPeople(changes),
    openEra: (start) => held().openEra(start),
    learnEra: (learned) => held().learnEra(learned),
    inputsAfter: (inputSeq, limit) => held().inputsAfter(inputSeq, limit),
    beginImport: () => held().beginImport(),
    endImport: () => held().endImport(),
    latest: () => held().latest(),
    snapshots: () => held().snapshots(),
    meta: () => held().meta(),
    setMeta: (key, value) => held().setMeta(key, value),
  },
  () => {
    if (tending !== null) clearImmediate(tending);
    disk?.close();
  },
);
