/** The rows of sealed blocks: found by instant, read with their sums checked, written with them. */
import { crc32 } from 'node:zlib';
import { readingFlags } from '../../shared/contract/input.ts';
import type { Database, Value } from '../sqlite/database.ts';
import { type BlockReadings, decodeBlock } from './block-decoder.ts';
import { encodeBlock } from './block-encoder.ts';
import type { PackedBlock } from './block-size.ts';
import { packMinutes } from './minutes.ts';

/** Where a block lies: UTC in era 0, else its era's steady clock; both instants are of readings that it holds. */
export type BlockPlace = { block: number; firstMs: number; lastMs: number; count: number };

/** A block's columns but its readings; `dated` counts those with an instant, of which all that follows tells. */
export type BlockHead = BlockPlace & {
  series: number;
  era: number;
  /** The highest number that one of its readings had. */
  topSeq: number;
  dated: number;
  minC: number | null;
  maxC: number | null;
  sumC: number | null;
  newestMs: number | null;
  newestC: number | null;
  newestFlags: number | null;
  headCheck: number;
  minutes: Uint8Array;
};

type BlockRow = BlockHead & { bodyCheck: number; readings: Uint8Array };

/** Where a block is damaged, it is as if it held nothing, and its place is told. */
export type Damage = {
  block: number;
  series: number;
  era: number;
  fromMs: number;
  toMs: number;
  found: string;
};

/** A block that is sound. */
export type WholeBlock = { head: BlockHead; readings: BlockReadings };

export type Blocks = {
  /** The last block that begins at or before an instant; undefined where none does. */
  at(series: number, era: number, tMs: number): BlockPlace | undefined;
  /** The first block that begins after an instant. */
  after(series: number, era: number, tMs: number): BlockPlace | undefined;
  /** The blocks that may hold readings of `fromMs` up to but not at `toMs`, in order. */
  within(series: number, era: number, range: { fromMs: number; toMs: number }): BlockPlace[];
  /** The eras above 0 whose blocks of a series wait for their UTC. */
  heldEras(series: number): number[];
  /** What the last block of a series and era took; undefined where there is none. */
  lastPacked(series: number, era: number): PackedBlock | undefined;
  /** The newest dated reading among a series' and era's blocks. */
  newest(series: number, era: number): { atMs: number; tempC: number; flags: number } | undefined;
  /** Returns a block's head with its minutes; a `Damage` where its sum does not fit. */
  head(block: number): BlockHead | Damage;
  /** Returns a block's head and readings, the whole row checked. */
  whole(block: number): WholeBlock | Damage;
  /** Returns a block's readings, the whole row checked. */
  readings(block: number): BlockReadings | Damage;
  /** Writes readings in order, at least one, as one block. */
  insert(of: { series: number; era: number; topSeq: number }, readings: BlockReadings): void;
  remove(block: number): void;
};

const placeColumns = 'block, firstMs, lastMs, count';
const headColumns =
  'block, series, era, firstMs, lastMs, count, topSeq, dated, minC, maxC, sumC, newestMs, newestC, newestFlags, headCheck, minutes';

/** Opens the blocks of a file. */
export function openBlocks(database: Database): Blocks {
  const at = database.prepare<BlockPlace>(
    `SELECT ${placeColumns} FROM blocks WHERE series = ? AND era = ? AND firstMs <= ? ORDER BY firstMs DESC LIMIT 1`,
  );
  const after = database.prepare<BlockPlace>(
    `SELECT ${placeColumns} FROM blocks WHERE series = ? AND era = ? AND firstMs > ? ORDER BY firstMs LIMIT 1`,
  );
  const within = database.prepare<BlockPlace>(
    `SELECT ${placeColumns} FROM blocks WHERE series = ? AND era = ? AND firstMs >= ? AND firstMs < ? ORDER BY firstMs`,
  );
  const nextEra = database.prepare<{ era: number | null }>(
    'SELECT min(era) AS era FROM blocks WHERE series = ? AND era > ?',
  );
  const newest = database.prepare<{ atMs: number; tempC: number; flags: number }>(
    `SELECT newestMs AS atMs, newestC AS tempC, newestFlags AS flags FROM blocks
     WHERE series = ? AND era = ? AND dated > 0 ORDER BY firstMs DESC LIMIT 1`,
  );
  const lastPacked = database.prepare<PackedBlock>(
    `SELECT count, length(minutes) + length(readings) AS bytes FROM blocks
     WHERE series = ? AND era = ? ORDER BY firstMs DESC LIMIT 1`,
  );
  const head = database.prepare<BlockHead>(`SELECT ${headColumns} FROM blocks WHERE block = ?`);
  const row = database.prepare<BlockRow>(
    `SELECT ${headColumns}, bodyCheck, readings FROM blocks WHERE block = ?`,
  );
  const insert = database.prepare(
    `INSERT INTO blocks (${headColumns.replace('block, ', '')}, bodyCheck, readings)
     VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
  );
  const remove = database.prepare('DELETE FROM blocks WHERE block = ?');
  const firstAt = (series: number, era: number, tMs: number) => at.first(series, era, tMs);
  const whole = (block: number): WholeBlock | Damage => {
    const found = row.first(block);
    if (found === undefined) return gone(block);
    if (headSum(found) !== found.headCheck) return damage(found, 'a head whose sum does not fit');
    if (bodySum(found) !== found.bodyCheck) return damage(found, 'readings whose sum does not fit');
    const readings = decodeBlock(found.readings);
    if (readings === null || readings.atMs.length !== found.count) {
      return damage(found, 'readings that break their format');
    }
    return { head: found, readings };
  };
  return {
    at: firstAt,
    after: (series, era, tMs) => after.first(series, era, tMs),
    within: (series, era, { fromMs, toMs }) => {
      const before = firstAt(series, era, fromMs - 1);
      const rest = within.all(series, era, fromMs, toMs);
      return before !== undefined && before.lastMs >= fromMs ? [before, ...rest] : rest;
    },
    heldEras: (series) => {
      const eras: number[] = [];
      for (let era = nextEra.first(series, 0)?.era ?? null; era !== null; ) {
        eras.push(era);
        era = nextEra.first(series, era)?.era ?? null;
      }
      return eras;
    },
    lastPacked: (series, era) => lastPacked.first(series, era),
    newest: (series, era) => newest.first(series, era),
    head: (block) => {
      const found = head.first(block);
      if (found === undefined) return gone(block);
      return headSum(found) === found.headCheck ? found : damage(found, 'a head whose sum does not fit');
    },
    whole,
    readings: (block) => {
      const found = whole(block);
      return isDamage(found) ? found : found.readings;
    },
    insert: (of, readings) => {
      insert.run(...columnsOf(of, readings));
    },
    remove: (block) => {
      remove.run(block);
    },
  };
}

/** Tells damage from what was asked for. */
export function isDamage<T extends object>(found: T | Damage): found is Damage {
  return 'found' in found;
}

function gone(block: number): Damage {
  return { block, series: 0, era: 0, fromMs: 0, toMs: 0, found: 'no row' };
}

function damage({ block, series, era, firstMs, lastMs }: BlockHead, found: string): Damage {
  return { block, series, era, fromMs: firstMs, toMs: lastMs + 1, found };
}

function columnsOf(
  { series, era, topSeq }: { series: number; era: number; topSeq: number },
  readings: BlockReadings,
): Value[] {
  const { atMs } = readings;
  const count = atMs.length;
  const head: Omit<BlockHead, 'block' | 'headCheck'> = {
    series,
    era,
    firstMs: atMs[0] as number,
    lastMs: atMs[count - 1] as number,
    count,
    topSeq,
    ...sumsOf(readings),
    // Steady instants have no minutes.
    minutes: era === 0 ? packMinutes(readings) : new Uint8Array(),
  };
  const headCheck = headSum(head);
  const body = encodeBlock(readings);
  const bodyCheck = bodySum({ headCheck, readings: body });
  return [
    head.series,
    head.era,
    head.firstMs,
    head.lastMs,
    head.count,
    head.topSeq,
    head.dated,
    head.minC,
    head.maxC,
    head.sumC,
    head.newestMs,
    head.newestC,
    head.newestFlags,
    headCheck,
    head.minutes,
    bodyCheck,
    body,
  ];
}

/** What a head says of its dated readings. */
export type DatedSums = Pick<
  BlockHead,
  'dated' | 'minC' | 'maxC' | 'sumC' | 'newestMs' | 'newestC' | 'newestFlags'
>;

/** Counts what a head says of the dated ones among readings. */
export function sumsOf({ atMs, tempC, flags }: BlockReadings): DatedSums {
  let dated = 0;
  let minC = Infinity;
  let maxC = -Infinity;
  let sumC = 0;
  let newest = -1;
  for (let index = 0; index < atMs.length; index++) {
    if (((flags[index] as number) & readingFlags.undated) !== 0) continue;
    const value = tempC[index] as number;
    dated += 1;
    sumC += value;
    if (value < minC) minC = value;
    if (value > maxC) maxC = value;
    newest = index;
  }
  if (newest < 0) {
    return { dated, minC: null, maxC: null, sumC: null, newestMs: null, newestC: null, newestFlags: null };
  }
  return {
    dated,
    minC,
    maxC,
    sumC,
    newestMs: atMs[newest] as number,
    newestC: tempC[newest] as number,
    newestFlags: flags[newest] as number,
  };
}

/** The CRC-32 of a head's numbers as little-endian doubles (null as -Infinity), in the order of the columns, and its minutes. */
function headSum(head: Omit<BlockHead, 'block' | 'headCheck'>): number {
  const { series, era, firstMs, lastMs, count, topSeq, dated, minC, maxC, sumC } = head;
  const numbers = [series, era, firstMs, lastMs, count, topSeq, dated, minC, maxC, sumC];
  numbers.push(head.newestMs, head.newestC, head.newestFlags);
  const view = new DataView(new ArrayBuffer(numbers.length * 8));
  numbers.forEach((number, index) => {
    view.setFloat64(index * 8, number ?? -Infinity, true);
  });
  return crc32(head.minutes, crc32(new Uint8Array(view.buffer)));
}

/** The CRC-32 of the readings, begun with the head's. */
function bodySum({ headCheck, readings }: { headCheck: number; readings: Uint8Array }): number {
  return crc32(readings, headCheck);
}
