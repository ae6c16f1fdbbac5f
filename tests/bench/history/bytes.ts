/** What a reading takes on disk, part by part. */
import { DatabaseSync } from 'node:sqlite';
import { decodeBlock } from '../../../daemon/history/block-decoder.ts';
import { encodeBlock } from '../../../daemon/history/block-encoder.ts';

/** Bytes a reading. */
export type Bytes = {
  /** All pages of blocks and their index, with page heads and what is unused, but for stamps and minutes. */
  values: number;
  /** What stamps are packed to. */
  stamps: number;
  /** `values`, `stamps`, minutes, and the pages of hours and days. */
  all: number;
  /** The log of the last week and pages that wait to be used again, MB; as much for ten years as for a week. */
  restMb: number;
  fileMb: number;
};

/** About so many blocks are encoded again to see what their stamps take. */
const weighedBlocks = 50;

/** Weighs a file that was closed: its pages by table, what of the blocks' are values, stamps and minutes. */
export function weighHistory(path: string, readings: number): Bytes {
  const database = new DatabaseSync(path, { readOnly: true });
  try {
    const one = (sql: string) => (database.prepare(sql).get() as { sum: number | null }).sum ?? 0;
    const pagesOf = (name: string) =>
      one(
        `SELECT sum(pgsize) AS sum FROM dbstat WHERE name IN (SELECT name FROM sqlite_schema WHERE tbl_name = '${name}')`,
      );
    const [blocks, rollups] = [pagesOf('blocks'), pagesOf('rollups')];
    const packed = one('SELECT sum(length(readings)) AS sum FROM blocks');
    const minutes = one('SELECT sum(length(minutes)) AS sum FROM blocks');
    const stamps = stampShare(database) * packed;
    const file = one('SELECT page_count * page_size AS sum FROM pragma_page_count, pragma_page_size');
    return {
      values: (blocks - stamps - minutes) / readings,
      stamps: stamps / readings,
      all: (blocks + rollups) / readings,
      restMb: (file - blocks - rollups) / 1e6,
      fileMb: file / 1e6,
    };
  } finally {
    database.close();
  }
}

/** The share of stamps in packed readings: what is left of a block where every value is the same. */
function stampShare(database: DatabaseSync): number {
  const { many } = database.prepare('SELECT count(*) AS many FROM blocks').get() as { many: number };
  const rows = database
    .prepare(
      'SELECT readings FROM (SELECT readings, row_number() OVER () AS place FROM blocks) WHERE place % ? = 0',
    )
    .all(Math.max(1, Math.floor(many / weighedBlocks))) as { readings: Uint8Array }[];
  let [packed, stamps] = [0, 0];
  for (const { readings } of rows) {
    const block = decodeBlock(readings);
    if (block === null) throw new Error('a block of the bench must be whole');
    packed += readings.length;
    const flat = { ...block, tempC: new Float64Array(block.tempC.length).fill(4) };
    const still = { ...flat, atMs: flat.atMs.map((_, index) => index * 1_000) };
    stamps += encodeBlock(flat).length - encodeBlock(still).length;
  }
  return stamps / packed;
}
