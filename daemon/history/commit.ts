/** Group commit: many readings, one transaction, one sync, a verdict for each. */
import { readingFlags } from '../../shared/contract/input.ts';
import type { Database } from '../sqlite/database.ts';
import { expectAtMost, isRowRefusal } from '../sqlite/disk-fault.ts';
import { absoluteEra, type Eras } from './era.ts';
import { broken, type IntakeItem, refuseBroken, type Verdict } from './intake-item.ts';
import type { Series } from './series.ts';

/** The most readings that one commit takes; more throw `LIMIT_RULE` and none is kept. */
export const readingsPerCommitMax = 10_000;

/** Keeps readings and returns a verdict for each, numbering the stored ones from `firstSeq` on. */
export type CommitReadings = (items: readonly IntakeItem[], firstSeq: number) => Verdict[];

type Keep = (item: IntakeItem, inputSeq: number) => Verdict;

/**
 * Returns the group commit. A group in which the database refuses a row is tried again row by row, so that
 * only that row is refused; where the disk fails, it throws and nothing is kept.
 */
export function openCommit(database: Database, eras: Eras, series: Series): CommitReadings {
  const keep = keeper(database, eras, series);
  const keepOrRefuse: Keep = (item, inputSeq) => {
    try {
      return database.savepoint(() => keep(item, inputSeq));
    } catch (error) {
      if (!isRowRefusal(error)) throw error;
      // The savepoint may have undone a series that was made for this row.
      series.forget();
      return rejected(item, error);
    }
  };
  const commit = (items: readonly IntakeItem[], firstSeq: number, one: Keep): Verdict[] => {
    try {
      return database.transaction(() => keepAll(items, firstSeq, one));
    } catch (error) {
      series.forget();
      throw error;
    }
  };
  return (items, firstSeq) => {
    expectAtMost('readings of a commit', items.length, readingsPerCommitMax);
    try {
      return commit(items, firstSeq, keep);
    } catch (error) {
      if (!isRowRefusal(error)) throw error;
      return commit(items, firstSeq, keepOrRefuse);
    }
  };
}

function keepAll(items: readonly IntakeItem[], firstSeq: number, keep: Keep): Verdict[] {
  let inputSeq = firstSeq;
  return items.map((item) => {
    const verdict = refuseBroken(item) ?? keep(item, inputSeq);
    if (verdict.is === 'stored') inputSeq += 1;
    return verdict;
  });
}

function keeper(database: Database, eras: Eras, series: Series): Keep {
  const insert = database.prepare(
    `INSERT INTO readings (series, era, tMs, ord, tempC, flags, inputSeq, receivedMs)
     VALUES (?, ?, ?, 0, ?, ?, ?, ?) ON CONFLICT (series, era, tMs, ord) DO NOTHING`,
  );
  const insertBeside = database.prepare(
    `INSERT INTO readings (series, era, tMs, ord, tempC, flags, inputSeq, receivedMs)
     SELECT ?1, ?2, ?3, max(ord) + 1, ?4, ?5, ?6, ?7 FROM readings WHERE series = ?1 AND era = ?2 AND tMs = ?3`,
  );
  const keptAt = database.prepare<{ tempC: number }>(
    'SELECT tempC FROM readings WHERE series = ? AND era = ? AND tMs = ? AND ord = 0',
  );
  return (item, inputSeq) => {
    const { stamp, tempC } = item;
    const era = 'atMs' in stamp ? absoluteEra : stamp.era;
    const tMs = 'atMs' in stamp ? stamp.atMs : stamp.steadyMs;
    const offsetMs = eras.offsetOf(era);
    if (offsetMs === undefined) return broken(item, 'era', 'one that was opened', era);
    const id = series.of(item.probe);
    const atMs = tMs + offsetMs;
    const seenMs = tMs + (eras.seenOffsetOf(era) ?? offsetMs);
    // A reading without a known instant is not late, and makes no other one late.
    const dated = (item.flags & readingFlags.undated) === 0;
    const flags = dated && atMs < series.newestMs(id) ? item.flags | readingFlags.late : item.flags;
    if (insert.run(id, era, tMs, tempC, flags, inputSeq, item.receivedMs) === 0) {
      const kept = keptAt.first(id, era, tMs);
      if (kept !== undefined && era === absoluteEra) {
        return kept.tempC === tempC ? { is: 'repeat' } : { is: 'conflict', keptC: kept.tempC };
      }
      insertBeside.run(id, era, tMs, tempC, flags, inputSeq, item.receivedMs);
    }
    if (dated) series.heard(id, atMs);
    return { is: 'stored', inputSeq, atMs: seenMs, flags };
  };
}

function rejected(item: IntakeItem, error: Error): Verdict {
  const message = `READING_REJECTED: the reading of ${item.probe} must be a row that the history takes, got ${error.message}. It was left out; the others were kept.`;
  return { is: 'refused', code: 'READING_REJECTED', message };
}
