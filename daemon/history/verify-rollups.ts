/** Hours and days have no sum of their own: they are counted anew from the minutes of the blocks and compared. */
import type { Database } from '../sqlite/database.ts';
import { type Blocks, isDamage } from './blocks.ts';
import {
  addSums,
  entriesPerRow,
  entryAt,
  entryBytes,
  hoursOf,
  levelIds,
  type RollupLevel,
  rollupMs,
  type Sums,
  viewOf,
} from './rollup-rows.ts';
import type { HistoryDamage } from './verify.ts';

type Row = {
  rollup: number;
  probe: string | null;
  series: number;
  level: number;
  fromMs: number;
  entries: Uint8Array;
};
type Missing = { block: number; probe: string | null; firstMs: number; lastMs: number };

export type RollupCheck = {
  /** Checks rows after one, at most `limit`; `last` is the last one of them. */
  rowsAfter(
    after: number,
    limit: number,
  ): { rows: number; damage: HistoryDamage[]; last: number | undefined };
  /** Names blocks whose hours or days have no row. */
  missing(): HistoryDamage[];
};

/** Sums are added in another order when counted anew, so they may differ by their rounding, as a share of all. */
const roundingShare = 1e-9;

/** Opens the check; hours in which a block is damaged are left out of it, since they cannot be counted anew. */
export function openRollupCheck(database: Database, blocks: Blocks): RollupCheck {
  const rowsAfter = database.prepare<Row>(
    `SELECT rollups.rowid AS rollup, probe, series, level, fromMs, entries FROM rollups LEFT JOIN series USING (series)
     WHERE rollups.rowid > ? ORDER BY rollups.rowid LIMIT ?`,
  );
  const missing = database.prepare<Missing>(
    `SELECT block, probe, firstMs, lastMs FROM blocks LEFT JOIN series USING (series)
     WHERE era = 0 AND dated > 0 AND (${lacksRow('hour')} OR ${lacksRow('day')}) ORDER BY block`,
  );
  const check: RollupCheck['rowsAfter'] = (after, limit) => {
    const rows = rowsAfter.all(after, limit);
    const damage = rows.flatMap((row) => {
      const found = foundIn(blocks, row);
      if (found === null) return [];
      const { rollup: id, probe, fromMs, level } = row;
      const lengthMs = entriesPerRow * (level === levelIds.day ? rollupMs.day : rollupMs.hour);
      return [{ part: 'rollup' as const, id, probe, fromMs, toMs: fromMs + lengthMs, found }];
    });
    return { rows: rows.length, damage, last: rows.at(-1)?.rollup };
  };
  return {
    rowsAfter: check,
    missing: () =>
      missing
        .all()
        .filter(({ block }) => !isDamage(blocks.head(block)))
        .map(({ block, probe, firstMs, lastMs }) => ({
          part: 'rollup' as const,
          id: 0,
          probe,
          fromMs: firstMs,
          toMs: lastMs + 1,
          found: `no hours or days of block ${block}`,
        })),
  };
}

function lacksRow(level: RollupLevel): string {
  const rowMs = rollupMs[level] * entriesPerRow;
  return `NOT EXISTS (SELECT 1 FROM rollups WHERE rollups.series = blocks.series AND level = ${levelIds[level]}
          AND fromMs = blocks.firstMs - blocks.firstMs % ${rowMs})`;
}

function foundIn(blocks: Blocks, { series, level, fromMs, entries }: Row): string | null {
  const name = level === levelIds.hour ? 'hour' : level === levelIds.day ? 'day' : null;
  if (name === null) return `level ${level}`;
  const unitMs = rollupMs[name];
  const toMs = fromMs + entriesPerRow * unitMs;
  if (entries.length !== entriesPerRow * entryBytes) return `${entries.length} bytes`;
  if (fromMs < 0 || fromMs % (entriesPerRow * unitMs) !== 0) return 'a beginning that no row has';
  const isLost = lostIn(blocks, series, { fromMs, toMs });
  const counted = unitsOf(hoursOf(blocks, series, { fromMs, toMs }), unitMs);
  const view = viewOf(entries);
  for (let place = 0; place < entriesPerRow; place++) {
    const atMs = fromMs + place * unitMs;
    const said = entryAt(view, place);
    if (!isLost(atMs, atMs + unitMs) && !isSame(said, counted.get(atMs))) {
      return `the ${name} of ${new Date(atMs).toISOString()} with ${textOf(said)} where the blocks give ${textOf(counted.get(atMs))}`;
    }
  }
  return null;
}

function unitsOf(hours: ReadonlyMap<number, Sums>, unitMs: number): Map<number, Sums> {
  const units = new Map<number, Sums>();
  for (const [hourMs, sums] of hours) {
    const atMs = Math.floor(hourMs / unitMs) * unitMs;
    const into = units.get(atMs);
    if (into === undefined) units.set(atMs, { ...sums });
    else addSums(into, sums);
  }
  return units;
}

/** Says of a stretch whether a damaged block may lie in it. */
function lostIn(
  blocks: Blocks,
  series: number,
  range: { fromMs: number; toMs: number },
): (fromMs: number, toMs: number) => boolean {
  const lost = blocks.within(series, 0, range).filter(({ block }) => isDamage(blocks.head(block)));
  return (fromMs, toMs) => lost.some(({ firstMs, lastMs }) => firstMs < toMs && lastMs >= fromMs);
}

function isSame(said: Sums | undefined, counted: Sums | undefined): boolean {
  if (said === undefined || counted === undefined || counted.count === 0) {
    return (said?.count ?? 0) === (counted?.count ?? 0);
  }
  const slack = roundingShare * Math.max(1, Math.abs(counted.sumC));
  const isNear = Math.abs(said.sumC - counted.sumC) <= slack;
  return said.count === counted.count && said.minC === counted.minC && said.maxC === counted.maxC && isNear;
}

function textOf(sums: Sums | undefined): string {
  if (sums === undefined || sums.count === 0) return 'no reading';
  return `${sums.count} readings from ${sums.minC} to ${sums.maxC}, in sum ${sums.sumC}`;
}
