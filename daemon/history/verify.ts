/** Walks a history file whole: its pages, the log of commits, the sealed blocks, the roll-ups against the blocks. */
import type { Database } from '../sqlite/database.ts';
import { DiskFault } from '../sqlite/disk-fault.ts';
import { expectSchema } from '../sqlite/migrate.ts';
import { type Blocks, isDamage, openBlocks, sumsOf } from './blocks.ts';
import { unpackCommit } from './log-row.ts';
import { packMinutes } from './minutes.ts';
import { historySchema } from './schema.ts';
import { openRollupCheck } from './verify-rollups.ts';

/**
 * One thing that is not as it was kept. `pages`: the file's own order is broken. `log`: a commit's row, by its
 * first number. `block`: a sealed block. `rollup`: hours or days that are not what the blocks hold. `fromMs` and
 * `toMs` say which stretch it costs, null where that is not known.
 */
export type HistoryDamage = {
  part: 'pages' | 'log' | 'block' | 'rollup';
  id: number;
  probe: string | null;
  fromMs: number | null;
  toMs: number | null;
  found: string;
};

/** What a check came to; `damage` holds the first `historyDamageMax`, `damageCount` counts all. */
export type HistoryVerifyReport = {
  commits: number;
  blocks: number;
  /** Readings in sound blocks. */
  sealed: number;
  rollups: number;
  damage: HistoryDamage[];
  damageCount: number;
};

/** How far a check has come; plain data, carried from slice to slice. */
export type HistoryVerifyProgress = HistoryVerifyReport & {
  stage: 'pages' | 'log' | 'blocks' | 'rollups' | 'done';
  /** The last row looked at in this stage. */
  after: number;
};

/** The most damages that a report lists; the others are only counted. */
export const historyDamageMax = 100;

const commitsPerSlice = 2_000;
const blocksPerSlice = 8;
const rollupsPerSlice = 2;

/** Where a check begins. */
export const historyVerifyStart: HistoryVerifyProgress = {
  stage: 'pages',
  after: -1,
  commits: 0,
  blocks: 0,
  sealed: 0,
  rollups: 0,
  damage: [],
  damageCount: 0,
};

export type HistoryVerify = {
  /** Checks the next slice, of the file as it is at that instant; `stage` is `done` after the last. */
  historyVerifySlice(progress: HistoryVerifyProgress): HistoryVerifyProgress;
};

type Slice = { progress: HistoryVerifyProgress; isLast: boolean };
type Stage = (progress: HistoryVerifyProgress) => Slice;

/** Opens the check on a read-only connection; throws where the file is not one of this release. */
export function openHistoryVerify(database: Database): HistoryVerify {
  expectSchema(database, historySchema);
  const blocks = openBlocks(database);
  const stages: [Exclude<HistoryVerifyProgress['stage'], 'done'>, Stage][] = [
    ['pages', openPagesStage(database)],
    ['log', openLogStage(database)],
    ['blocks', openBlocksStage(database, blocks)],
    ['rollups', openRollupsStage(database, blocks)],
  ];
  return {
    historyVerifySlice: (progress) => {
      const place = stages.findIndex(([name]) => name === progress.stage);
      const stage = stages[place]?.[1];
      if (stage === undefined) return progress;
      const { progress: after, isLast } = database.snapshot(() => guarded(stage, progress));
      return isLast ? { ...after, stage: stages[place + 1]?.[0] ?? 'done', after: -1 } : after;
    },
  };
}

/** A page that SQLite cannot follow ends a stage, and the next ones go on. */
function guarded(stage: Stage, progress: HistoryVerifyProgress): Slice {
  try {
    return stage(progress);
  } catch (error) {
    const isExpected = error instanceof DiskFault || error instanceof RangeError || isOutOfRange(error);
    if (!isExpected) throw error;
    const found = `${progress.stage} that cannot be read on after row ${progress.after} (${(error as Error).message})`;
    return { progress: withDamage(progress, [ofPages(found)]), isLast: true };
  }
}

/** `node:sqlite` throws this of a number that no column of ours holds while it is sound. */
function isOutOfRange(error: unknown): boolean {
  return error instanceof Error && 'code' in error && error.code === 'ERR_OUT_OF_RANGE';
}

function ofPages(found: string): HistoryDamage {
  return { part: 'pages', id: 0, probe: null, fromMs: null, toMs: null, found };
}

function withDamage<T extends HistoryVerifyReport>(report: T, more: readonly HistoryDamage[]): T {
  if (more.length === 0) return report;
  const room = historyDamageMax - report.damage.length;
  const damage = [...report.damage, ...more.slice(0, room)];
  return { ...report, damage, damageCount: report.damageCount + more.length };
}

function openPagesStage(database: Database): Stage {
  const check = database.prepare<{ integrity_check: string }>(`PRAGMA integrity_check(${historyDamageMax})`);
  return (progress) => {
    const said = check.all().map(({ integrity_check }) => integrity_check);
    const isSound = said.length === 1 && said[0] === 'ok';
    return { progress: isSound ? progress : withDamage(progress, said.map(ofPages)), isLast: true };
  };
}

type LogRow = { firstSeq: number; count: number; readings: Uint8Array };

function openLogStage(database: Database): Stage {
  const rowsAfter = database.prepare<LogRow>(
    `SELECT firstSeq, count, readings FROM log WHERE firstSeq > ? ORDER BY firstSeq LIMIT ${commitsPerSlice}`,
  );
  return (progress) => {
    const rows = rowsAfter.all(progress.after);
    const damage: HistoryDamage[] = [];
    rows.forEach(({ firstSeq, count, readings }, index) => {
      const next = rows[index + 1]?.firstSeq ?? Infinity;
      const found = !unpackCommit(readings, count, () => {})
        ? `a row of ${count} readings whose sum or form does not fit`
        : firstSeq + count > next
          ? `${count} readings, numbered into the row after it`
          : null;
      if (found !== null) {
        damage.push({ part: 'log', id: firstSeq, probe: null, fromMs: null, toMs: null, found });
      }
    });
    const after = rows.at(-1)?.firstSeq ?? progress.after;
    const counted = { ...progress, after, commits: progress.commits + rows.length };
    return { progress: withDamage(counted, damage), isLast: rows.length < commitsPerSlice };
  };
}

function openBlocksStage(database: Database, blocks: Blocks): Stage {
  const idsAfter = database.prepare<{ block: number; probe: string | null }>(
    `SELECT block, probe FROM blocks LEFT JOIN series USING (series)
     WHERE block > ? ORDER BY block LIMIT ${blocksPerSlice}`,
  );
  return (progress) => {
    const ids = idsAfter.all(progress.after);
    let sealed = progress.sealed;
    const damage: HistoryDamage[] = [];
    for (const { block, probe } of ids) {
      const checked = checkBlock(blocks, block);
      if (typeof checked === 'number') sealed += checked;
      else damage.push({ part: 'block', id: block, probe, ...checked });
    }
    const after = ids.at(-1)?.block ?? progress.after;
    const counted = { ...progress, after, sealed, blocks: progress.blocks + ids.length };
    return { progress: withDamage(counted, damage), isLast: ids.length < blocksPerSlice };
  };
}

/** Returns how many readings a block holds where all of it is sound. */
function checkBlock(
  blocks: Blocks,
  block: number,
): number | Pick<HistoryDamage, 'fromMs' | 'toMs' | 'found'> {
  const whole = blocks.whole(block);
  if (isDamage(whole)) return { fromMs: whole.fromMs, toMs: whole.toMs, found: whole.found };
  const { head, readings } = whole;
  const [fromMs, toMs] = [head.firstMs, head.lastMs + 1];
  const { atMs } = readings;
  const sums = sumsOf(readings);
  const said = Object.entries(sums).find(([name, value]) => head[name as keyof typeof sums] !== value);
  if (said !== undefined) return { fromMs, toMs, found: `a head whose ${said[0]} its readings do not give` };
  if (atMs[0] !== head.firstMs || atMs.at(-1) !== head.lastMs) {
    return { fromMs, toMs, found: 'a head whose span its readings do not give' };
  }
  const minutes = head.era === 0 ? packMinutes(readings) : new Uint8Array();
  if (Buffer.compare(minutes, head.minutes) !== 0) {
    return { fromMs, toMs, found: 'minutes that its readings do not give' };
  }
  const next = blocks.after(head.series, head.era, head.firstMs);
  // A damaged block may lie over sound ones: what came again was sealed beside it.
  if (next !== undefined && next.firstMs <= head.lastMs && !isDamage(blocks.readings(next.block))) {
    return { fromMs, toMs, found: `readings that reach over block ${next.block}` };
  }
  return head.count;
}

function openRollupsStage(database: Database, blocks: Blocks): Stage {
  const check = openRollupCheck(database, blocks);
  return (progress) => {
    const { rows, damage, last } = check.rowsAfter(progress.after, rollupsPerSlice);
    const counted = { ...progress, after: last ?? progress.after, rollups: progress.rollups + rows };
    const missing = rows < rollupsPerSlice ? check.missing() : [];
    return { progress: withDamage(counted, [...damage, ...missing]), isLast: rows < rollupsPerSlice };
  };
}
