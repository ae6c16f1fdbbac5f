import { describe, expect, it } from 'vitest';
import {
  type HistoryVerifyReport,
  historyVerifyStart,
  openHistoryVerify,
} from '../../../daemon/history/verify.ts';
import { openDatabase } from '../../../daemon/sqlite/database.ts';
import { at, openTestHistory, type TestHistory } from './open-history.ts';

const dayMs = 86_400_000;
const firstMs = 20_000 * dayMs;

/** Three days of a reading each 10 s, sealed but for the last ones. */
function sealedHistory(): TestHistory {
  const test = openTestHistory();
  for (let day = 0; day < 3; day++) {
    const items = Array.from({ length: 8_640 }, (_, index) =>
      at(firstMs + day * dayMs + index * 10_000, 4 + Math.round(16 * Math.sin(index / 700)) / 16),
    );
    test.commit(...items);
  }
  test.history.sealAll();
  test.commit(at(firstMs + 3 * dayMs, 5), at(firstMs + 3 * dayMs + 1_000, 5.0625));
  return test;
}

function verified({ database }: TestHistory): HistoryVerifyReport {
  const reading = openDatabase({ path: database.path, mode: 'read' });
  try {
    const { historyVerifySlice } = openHistoryVerify(reading);
    let progress = historyVerifyStart;
    while (progress.stage !== 'done') progress = historyVerifySlice(progress);
    return progress;
  } finally {
    reading.close();
  }
}

function flip(bytes: Uint8Array, place: number): Uint8Array {
  const flipped = Uint8Array.from(bytes);
  flipped[place] = (flipped[place] ?? 0) ^ 1;
  return flipped;
}

describe('the check of a history', () => {
  it('finds nothing wrong in a sound file, and counts what it looked at', () => {
    const test = sealedHistory();
    expect(verified(test)).toMatchObject({
      commits: 4,
      sealed: 3 * 8_640,
      rollups: 2,
      damage: [],
      damageCount: 0,
    });
  });

  it.each(['readings', 'minutes'])(
    'names the one block whose %s were flipped, and all others are read',
    (column) => {
      const test = sealedHistory();
      const [, second] = test.database
        .prepare<{ block: number; count: number; bytes: Uint8Array; firstMs: number; lastMs: number }>(
          `SELECT block, count, ${column} AS bytes, firstMs, lastMs FROM blocks ORDER BY firstMs`,
        )
        .all();
      if (second === undefined) throw new Error('there must be a second block');
      test.database
        .prepare(`UPDATE blocks SET ${column} = ? WHERE block = ?`)
        .run(flip(second.bytes, 40), second.block);
      expect(verified(test).damage).toMatchObject([
        { part: 'block', id: second.block, probe: 'jar', fromMs: second.firstMs, toMs: second.lastMs + 1 },
      ]);
      const query = { probe: 'jar', fromMs: firstMs, toMs: firstMs + 4 * dayMs, points: 1_000 };
      const raw: number[] = [];
      for (let fromMs: number | null = firstMs; fromMs !== null; ) {
        const slice = test.again().read.rawSlice({ ...query, fromMs });
        raw.push(...slice.readings.map(({ atMs }) => atMs));
        fromMs = slice.nextMs;
      }
      expect(raw).toHaveLength(3 * 8_640 + 2 - second.count);
      const answer = test.read.envelope({ ...query, coarsest: 'reading' });
      expect(answer.damaged).toEqual([{ fromMs: second.firstMs, toMs: second.lastMs + 1 }]);
    },
  );

  it('takes a reading of a damaged block again, and is sound beside it once it is sealed', () => {
    const test = sealedHistory();
    const [first] = test.database
      .prepare<{ block: number; bytes: Uint8Array }>(
        'SELECT block, readings AS bytes FROM blocks ORDER BY firstMs',
      )
      .all();
    if (first === undefined) throw new Error('there must be a block');
    expect(test.commit(at(firstMs + 10_000, 9))).toMatchObject([{ is: 'conflict' }]);
    test.database
      .prepare('UPDATE blocks SET readings = ? WHERE block = ?')
      .run(flip(first.bytes, 9), first.block);
    const after = test.again();
    expect(after.commit(at(firstMs + 10_000, 9))).toMatchObject([{ is: 'stored' }]);
    after.history.sealAll();
    expect(verified(after).damage).toMatchObject([{ part: 'block', id: first.block }]);
    const { readings } = after.read.rawSlice({ probe: 'jar', fromMs: firstMs, toMs: firstMs + 20_000 });
    expect(readings).toMatchObject([{ atMs: firstMs + 10_000, tempC: 9 }]);
  });

  it.each([1, 2])('names hours and days that the blocks do not give: level %i', (level) => {
    const test = sealedHistory();
    const row = test.database
      .prepare<{ entries: Uint8Array }>('SELECT entries FROM rollups WHERE level = ?')
      .first(level);
    const entries = Uint8Array.from(row?.entries ?? []);
    const filled = entries.findIndex((byte) => byte !== 0);
    test.database.prepare('UPDATE rollups SET entries = ? WHERE level = ?').run(flip(entries, filled), level);
    expect(verified(test).damage).toMatchObject([{ part: 'rollup', probe: 'jar' }]);
    test.database.prepare('DELETE FROM rollups WHERE level = ?').run(level);
    expect(verified(test).damage[0]?.found).toMatch(/^no hours or days of block/);
  });

  it('names a commit whose bytes or count were changed, and opens and reads the others', () => {
    const test = sealedHistory();
    const last = test.database
      .prepare<{ firstSeq: number; readings: Uint8Array }>(
        'SELECT firstSeq, readings FROM log ORDER BY firstSeq DESC LIMIT 1',
      )
      .first();
    if (last === undefined) throw new Error('there must be a commit');
    test.database.prepare('UPDATE log SET count = 7 WHERE firstSeq = ?').run(last.firstSeq);
    expect(verified(test).damage).toMatchObject([{ part: 'log', id: last.firstSeq }]);
    const fromMs = firstMs + 3 * dayMs;
    const kept = () =>
      test.again().read.rawSlice({ probe: 'jar', fromMs, toMs: fromMs + dayMs }).readings.length;
    expect(kept()).toBe(2);
    test.database
      .prepare('UPDATE log SET readings = ? WHERE firstSeq = ?')
      .run(flip(last.readings, 5), last.firstSeq);
    expect(verified(test).damage).toMatchObject([{ part: 'log', id: last.firstSeq }]);
    expect(kept()).toBe(0);
  });
});
