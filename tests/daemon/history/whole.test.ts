import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { openHistoryRange } from '../../../daemon/history/range.ts';
import { historyVerifyStart, openHistoryVerify } from '../../../daemon/history/verify.ts';
import { copyDatabase } from '../../../daemon/sqlite/copy-database.ts';
import { openDatabase } from '../../../daemon/sqlite/database.ts';
import { tempFolder } from '../sqlite/temp-folder.ts';
import { at, openTestHistory } from './open-history.ts';

const firstMs = 20_000 * 86_400_000;
const toMs = firstMs + 90 * 86_400_000;

type Move =
  | { is: 'commit'; skipMs: number; stepMs: number; many: number; baseC: number }
  | { is: 'seal' }
  | { is: 'tend' };

/** Runs of readings that go on, leave a gap, come late by up to hours, or fall on instants that are there. */
const move = fc.oneof(
  {
    weight: 5,
    arbitrary: fc.record({
      is: fc.constant('commit' as const),
      skipMs: fc.oneof(fc.constant(0), fc.integer({ min: -20_000_000, max: 400_000_000 })),
      stepMs: fc.constantFrom(1, 250, 1_000, 10_007),
      many: fc.integer({ min: 1, max: 400 }),
      baseC: fc.oneof(
        fc.integer({ min: -40, max: 1_600 }).map((steps) => steps / 16),
        fc.double({ min: -55, max: 125, noNaN: true }),
      ),
    }),
  },
  { weight: 1, arbitrary: fc.constant<Move>({ is: 'seal' }) },
  { weight: 1, arbitrary: fc.constant<Move>({ is: 'tend' }) },
);

function heldIn(path: string): { readings: [number, number][]; mean: [number, number]; damage: number } {
  const reading = openDatabase({ path, mode: 'read' });
  try {
    const range = openHistoryRange(reading);
    const readings: [number, number][] = [];
    for (let fromMs: number | null = firstMs; fromMs !== null; ) {
      const slice = range.rawSlice({ probe: 'jar', fromMs, toMs });
      readings.push(...slice.readings.map(({ atMs, tempC }): [number, number] => [atMs, tempC]));
      fromMs = slice.nextMs;
    }
    const buckets = range.envelope({ probe: 'jar', fromMs: firstMs, toMs, points: 90 }).buckets;
    const count = buckets.reduce((sum, bucket) => sum + bucket.count, 0);
    const least = Math.min(...buckets.map(({ minC }) => minC));
    const { historyVerifySlice } = openHistoryVerify(reading);
    let progress = historyVerifyStart;
    while (progress.stage !== 'done') progress = historyVerifySlice(progress);
    return { readings, mean: [count, least], damage: progress.damageCount };
  } finally {
    reading.close();
  }
}

describe('a history', () => {
  it('gives back what went in, through seals, late data, gaps, repeats, restarts and a backup', () => {
    const test = openTestHistory();
    fc.assert(
      fc.property(fc.array(move, { minLength: 1, maxLength: 12 }), (moves) => {
        let side = test.emptied();
        const kept = new Map<number, number>();
        let nowMs = firstMs;
        for (const each of moves) {
          if (each.is === 'seal') side.history.sealAll();
          else if (each.is === 'tend') while (side.history.tend()) side = side.again();
          else {
            nowMs = Math.max(firstMs, nowMs + each.skipMs);
            const items = Array.from({ length: each.many }, (_, index) =>
              at(nowMs + index * each.stepMs, each.baseC + (index % 7) / 16),
            );
            side.commit(...items);
            for (const { tempC, stamp } of items) {
              const atMs = 'atMs' in stamp ? stamp.atMs : 0;
              if (!kept.has(atMs)) kept.set(atMs, tempC + 0);
            }
            nowMs += each.many * each.stepMs;
          }
        }
        const readings = [...kept].sort(([a], [b]) => a - b);
        const least = Math.min(...kept.values());
        const whole = { readings, mean: [kept.size, least], damage: 0 };
        expect(heldIn(test.database.path)).toEqual(whole);
        const to = join(tempFolder(), 'copy.db');
        copyDatabase({ from: test.database.path, to });
        expect(heldIn(to)).toEqual(whole);
      }),
      { numRuns: 25, seed: 6 },
    );
  });
});
