import { describe, expect, it } from 'vitest';
import { lateLookMax, lateStretchesOf } from '../../daemon/late-stretches.ts';
import { readingFlags } from '../../shared/contract/input.ts';

const { imported, late } = readingFlags;
const span = { probe: 'jar', fromMs: 0, toMs: 1e9 };

function readerOf(readings: readonly (readonly [atMs: number, flags: number])[], count = readings.length) {
  return {
    range: async () => [{ fromMs: 0, toMs: 1e9, minC: 0, maxC: 0, meanC: 0, count }],
    rawRange: async function* () {
      for (const [atMs, flags] of readings) {
        yield [{ atMs, flags, tempC: 4, inputSeq: 1, receivedMs: atMs }];
      }
    },
  };
}

describe('stretches of late readings', () => {
  it('hold what came late, those near each other together, and nothing that a file brought', async () => {
    const readings = [
      [1_000, late],
      [2_000, 0],
      [60_000, late],
      [900_000, late],
      [901_000, late | imported],
    ] as const;
    expect(await lateStretchesOf(readerOf(readings), span)).toEqual([
      { fromMs: 1_000, toMs: 60_001, count: 2 },
      { fromMs: 900_000, toMs: 900_001, count: 1 },
    ]);
  });

  it('are not looked for where there are too many readings', async () => {
    expect(await lateStretchesOf(readerOf([[1_000, late]], lateLookMax + 1), span)).toBeNull();
  });
});
