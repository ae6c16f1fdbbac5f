/** Group commit: many readings, one transaction, one sync, a verdict for each. */
import { readingFlags } from '../../shared/contract/input.ts';
import type { Database } from '../sqlite/database.ts';
import { expectAtMost, isRowRefusal } from '../sqlite/disk-fault.ts';
import { absoluteEra, type Eras } from './era.ts';
import type { Fresh } from './fresh.ts';
import { broken, type IntakeItem, refuseBroken, type Verdict } from './intake-item.ts';
import type { KeptAt } from './kept-at.ts';
import { openLog } from './log.ts';
import type { LoggedReading } from './log-row.ts';
import type { Series } from './series.ts';

/** The most readings that one commit takes; more throw `LIMIT_RULE` and none is kept. */
export const readingsPerCommitMax = 10_000;

/** Keeps readings and returns a verdict for each, numbering the stored ones from `firstSeq` on. */
export type CommitReadings = (items: readonly IntakeItem[], firstSeq: number) => Verdict[];

export type CommitOptions = {
  database: Database;
  eras: Eras;
  series: Series;
  fresh: Fresh;
  keptAt: KeptAt;
};

/**
 * Returns the group commit: one packed row, one transaction. A probe whose series the database refuses to
 * make costs only its own readings; where the disk fails, it throws and nothing is kept.
 */
export function openCommit(options: CommitOptions): CommitReadings {
  const { database, series, fresh, keptAt } = options;
  const log = openLog(database);
  const seriesOf = seriesOrRefusal(database, series);
  return (items, firstSeq) => {
    expectAtMost('readings of a commit', items.length, readingsPerCommitMax);
    try {
      return database.transaction(() => {
        const logged: LoggedReading[] = [];
        const keep = keeper(options, logged, firstSeq);
        const verdicts = items.map((item) => {
          const held = series.held(item.probe);
          return refuseBroken(item, held !== undefined) ?? keep(item, held ?? seriesOf(item));
        });
        if (logged.length > 0) log.append(firstSeq, logged);
        return verdicts;
      });
    } catch (error) {
      // What was taken into memory is not on disk.
      series.forget();
      fresh.reload();
      keptAt.forget();
      throw error;
    }
  };
}

/** Returns a probe's series, made where it is new; the verdict where the database would not take it. */
function seriesOrRefusal(database: Database, series: Series): (item: IntakeItem) => number | Verdict {
  return (item) => {
    try {
      return database.savepoint(() => series.of(item.probe));
    } catch (error) {
      if (!isRowRefusal(error)) throw error;
      return rejected(item, error);
    }
  };
}

type Keep = (item: IntakeItem, series: number | Verdict) => Verdict;

function keeper(
  { eras, series, fresh, keptAt }: CommitOptions,
  logged: LoggedReading[],
  firstSeq: number,
): Keep {
  return (item, id) => {
    if (typeof id !== 'number') return id;
    const { stamp, receivedMs } = item;
    // A sum with 0 makes -0 a plain one.
    const tempC = item.tempC + 0;
    const era = 'atMs' in stamp ? absoluteEra : stamp.era;
    const tMs = 'atMs' in stamp ? stamp.atMs : stamp.steadyMs;
    const offsetMs = eras.offsetOf(era);
    if (offsetMs === undefined) return broken(item, 'era', 'one that was opened', era);
    if (era === absoluteEra) {
      const keptC = keptAt.at(id, tMs);
      if (keptC !== undefined) return keptC === tempC ? { is: 'repeat' } : { is: 'conflict', keptC };
    }
    const atMs = tMs + offsetMs;
    const seenMs = tMs + (eras.seenOffsetOf(era) ?? offsetMs);
    // A reading without a known instant is not late, and makes no other one late.
    const dated = (item.flags & readingFlags.undated) === 0;
    const late = dated && atMs < series.newestMs(id) ? readingFlags.late : 0;
    const flags = stampFlag(item.flags, era) | late;
    const inputSeq = firstSeq + logged.length;
    logged.push({ series: id, era, tMs, tempC, flags, receivedMs });
    if (dated) series.heard(id, atMs);
    fresh.add(id, era, { tMs, tempC, flags, inputSeq, receivedMs });
    return { is: 'stored', inputSeq, atMs: seenMs, flags };
  };
}

/** Blocks tell receipts from absolute instants by this flag alone, so it must be true. */
function stampFlag(flags: number, era: number): number {
  return era === absoluteEra ? flags & ~readingFlags.receipt : flags | readingFlags.receipt;
}

function rejected(item: IntakeItem, error: Error): Verdict {
  const message = `READING_REJECTED: the reading of ${item.probe} must be a row that the history takes, got ${error.message}. It was left out; the others were kept.`;
  return { is: 'refused', code: 'READING_REJECTED', message };
}
