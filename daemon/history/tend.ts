/** What the history does for itself between commits: seals, moves what waited for its UTC, lets the log go. */
import type { Database } from '../sqlite/database.ts';
import type { Fresh } from './fresh.ts';
import type { FreshLine } from './fresh-line.ts';
import type { Sealing } from './seal.ts';

/** How long the log is kept after its readings were received, also when they are sealed: for the watching and mirrors. */
export const logKeptMs = 7 * 86_400_000;
/** The most readings in the log; when there are more, the oldest sealed ones leave it before their time. */
export const logReadingsMax = 5_000_000;
/** Readings of a slow probe are sealed when the oldest was received so long before the newest of the house. */
export const freshKeptMs = 86_400_000;
/** The most readings that are fresh, of all probes together; when there are more, the longest line is sealed. */
export const freshReadingsMax = 400_000;

/** Readings beyond a block's that a line keeps, so that what comes late by seconds is still fresh. */
const sealSlack = 600;
/** Rows that leave the log in one go, and how many must be due: each go costs a sync. */
const logRowsPerGo = 2_000;
const logRowsLeast = 500;
/** After nothing was due the log is looked at again when so much time, or so many numbers, have passed. */
const logLookMs = 600_000;
const logLookReadings = 20_000;

export type Tending = {
  /**
   * Does one piece of what is due, in one transaction of some milliseconds; false where nothing is due.
   * Time is that of receipts, so a house that is switched off lets nothing go.
   */
  tend(): boolean;
  /** Seals all that is fresh, as far as its UTC is known or its era is over; for exports of the file and benches. */
  sealAll(): void;
  /** Says that an era has become known. */
  learned(): void;
};

export type TendingOptions = {
  database: Database;
  fresh: Fresh;
  sealing: Sealing;
  /** Called after blocks have changed. */
  onSealed: () => void;
};

/** Opens the tending on the write connection. */
export function openTending({ database, fresh, sealing, onSealed }: TendingOptions): Tending {
  const log = openLogLimits(database);
  const seriesIds = database.prepare<{ series: number }>('SELECT series FROM series');
  // Blocks that wait are looked for on opening, and when an era has become known.
  let toAdopt: number[] | null = null;

  const adopt = (): boolean => {
    toAdopt ??= seriesIds.all().map(({ series }) => series);
    for (let series = toAdopt.at(-1); series !== undefined; series = toAdopt.at(-1)) {
      if (sealing.adopt(series)) return true;
      toAdopt.pop();
    }
    return false;
  };
  // Looked up once a block, and not at every commit.
  const aims = new Map<string, number>();
  const aimOf = ({ series, era }: FreshLine): number => {
    const key = `${series} ${era}`;
    const known = aims.get(key) ?? sealing.aimOf(series, era);
    aims.set(key, known);
    return known;
  };
  const changed = (): void => {
    aims.clear();
    onSealed();
  };
  const seal = (due: Due | null): boolean => {
    if (due === null) return false;
    sealing.step(due.line.series, due.line.era, due.batchSeq);
    changed();
    return true;
  };
  return {
    tend: () => {
      if (seal(dueOf(fresh, aimOf))) return true;
      if (adopt()) {
        changed();
        return true;
      }
      return log.letGo();
    },
    sealAll: () => {
      for (const line of [...fresh.lines()]) {
        const batchSeq = newestSeq(line);
        while (sealing.step(line.series, line.era, batchSeq)) changed();
      }
      changed();
    },
    learned: () => {
      toAdopt = null;
      aims.clear();
    },
  };
}

type Due = { line: FreshLine; batchSeq: number };

/** The line that is to be sealed next, and up to which number; null where none is due. */
function dueOf(fresh: Fresh, aimOf: (line: FreshLine) => number): Due | null {
  let longest: FreshLine | null = null;
  let newestMs = 0;
  for (const line of fresh.lines()) {
    const mark = fresh.markOf(line.series, line.era);
    if (mark.batchSeq > mark.sealedSeq) return { line, batchSeq: mark.batchSeq };
    if (line.count > (longest?.count ?? 0)) longest = line;
    newestMs = Math.max(newestMs, line.receivedMsAt(line.count - 1));
  }
  if (longest === null) return null;
  for (const line of fresh.lines()) {
    const aim = aimOf(line);
    if (line.count >= aim + sealSlack) return { line, batchSeq: line.seqAt(aim - 1) };
  }
  if (fresh.size > freshReadingsMax) return { line: longest, batchSeq: newestSeq(longest) };
  for (const line of fresh.lines()) {
    if (line.receivedMsAt(0) < newestMs - freshKeptMs) return { line, batchSeq: newestSeq(line) };
  }
  return null;
}

function newestSeq(line: FreshLine): number {
  let newest = 0;
  for (let index = 0; index < line.count; index++) newest = Math.max(newest, line.seqAt(index));
  return newest;
}

/** Lets rows of the log go that are old or too many, never the newest one, nor one with fresh readings. */
function openLogLimits(database: Database): { letGo(): boolean } {
  const edge = database.prepare<{ receivedMs: number; firstSeq: number }>(
    'SELECT receivedMs, firstSeq FROM log ORDER BY firstSeq DESC LIMIT 1',
  );
  const freshFrom = database.prepare<{ value: number }>(
    "SELECT value FROM marks WHERE name = 'freshFromSeq'",
  );
  // Cheaper than to count those that are due, where too few are.
  const lastOfFew = database.prepare<{ receivedMs: number; firstSeq: number }>(
    `SELECT receivedMs, firstSeq FROM log WHERE firstSeq < ? ORDER BY firstSeq LIMIT 1 OFFSET ${logRowsLeast - 1}`,
  );
  // Numbers of readings run on, so that their span bounds how many there are.
  const tooOld = database.prepare<{ firstSeq: number | null; many: number }>(
    `SELECT max(firstSeq) AS firstSeq, count(*) AS many FROM
     (SELECT firstSeq, receivedMs FROM log WHERE firstSeq < ?1 ORDER BY firstSeq LIMIT ${logRowsPerGo})
     WHERE receivedMs < ?2 OR firstSeq < ?3`,
  );
  const remove = database.prepare('DELETE FROM log WHERE firstSeq <= ?');
  let quiet = { untilMs: 0, untilSeq: 0 };
  return {
    letGo: () => {
      const newest = edge.first();
      if (newest === undefined) return false;
      if (newest.receivedMs < quiet.untilMs && newest.firstSeq < quiet.untilSeq) return false;
      const sealedBefore = Math.min(newest.firstSeq, freshFrom.first()?.value ?? 0);
      const [beforeMs, beforeSeq] = [newest.receivedMs - logKeptMs, newest.firstSeq - logReadingsMax];
      const few = lastOfFew.first(sealedBefore);
      const isDue = few !== undefined && (few.receivedMs < beforeMs || few.firstSeq < beforeSeq);
      const due = isDue ? tooOld.first(sealedBefore, beforeMs, beforeSeq) : undefined;
      const upTo = due?.firstSeq ?? null;
      if (due === undefined || upTo === null || due.many < logRowsLeast) {
        quiet = {
          untilMs: newest.receivedMs + logLookMs,
          untilSeq: newest.firstSeq + logLookReadings,
        };
        return false;
      }
      database.transaction(() => remove.run(upTo));
      return true;
    },
  };
}
