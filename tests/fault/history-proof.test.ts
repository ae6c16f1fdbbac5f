import { describe, expect, it } from 'vitest';
import { type HistoryVariant, proveHistory } from './history-proof.ts';

const whole = { lost: 0, doubled: 0, wrong: 0, misjudged: 0 };
const seed = 20_261;

describe('a history that is killed, cut or flipped', () => {
  it.each<[HistoryVariant, number]>([
    ['kills', 5],
    ['every-frame', 12],
    ['wal-cut', 8],
    ['wal-flip', 8],
    ['block-flip', 6],
  ])('opens, checks and holds what was acknowledged: %s', { timeout: 60_000 }, async (variant, times) => {
    const report = await proveHistory({ variant, times, seed });
    expect(report).toMatchObject({ times, ...whole });
    expect(report.acknowledged).toBeGreaterThan(1_000);
  });

  it.each<[HistoryVariant, number]>([
    // The moment between saying and keeping is short: most kills miss it.
    ['kills', 40],
    ['wal-flip', 4],
    ['block-flip', 2],
  ])(
    'is found out where it says too early or looks past blocks: %s',
    { timeout: 60_000 },
    async (variant, times) => {
      const { lost, misjudged } = await proveHistory({ variant, times, seed, planted: true });
      expect(lost + misjudged).toBeGreaterThan(0);
    },
  );
});
