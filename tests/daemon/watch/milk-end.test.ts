import { describe, expect, it } from 'vitest';
import { feelEnd, type LeftMilk, openMilkEnd } from '../../../daemon/watch/milk-end.ts';

const startMs = 1_760_000_000_000;
/** From `fromS` on the probe goes towards `aroundC` by a lag of its own. */
type Scene = { fromS: number; aroundC: number; lagS: number };

/** What is told of a probe that has been in milk of 12 °C and then goes through the scenes; with when it was told. */
function told(scenes: Scene[], { milkC = 12, spanS = 1200 } = {}): (LeftMilk & { toldMs: number }) | null {
  let state = openMilkEnd();
  let tempC = milkC;
  for (let atS = 0; atS <= spanS; atS += 2) {
    const here = scenes.findLast(({ fromS }) => fromS <= atS) ?? { aroundC: milkC, lagS: 12 };
    tempC += (here.aroundC - tempC) * (1 - Math.exp(-2 / here.lagS));
    const felt = feelEnd(state, { atMs: startMs + atS * 1000, tempC: Math.round(tempC * 16) / 16 });
    state = felt.state;
    if (felt.left !== null) return { ...felt.left, toldMs: atS };
  }
  return null;
}

describe('a probe taken out of its milk', () => {
  const outS = 600;
  it.each([
    ['into the air of a warm room', [{ fromS: outS, aroundC: 21, lagS: 120 }]],
    ['into the freezer', [{ fromS: outS, aroundC: -18, lagS: 100 }]],
    [
      'under hot water and onto the rack',
      [
        { fromS: outS, aroundC: 48, lagS: 8 },
        { fromS: outS + 20, aroundC: 19, lagS: 100 },
      ],
    ],
  ])('%s is told within 10 min, at its instant', (_, scenes) => {
    const left = told(scenes);
    expect(left?.why).toBe('taken-out');
    expect(Math.abs((left?.atMs ?? 0) - startMs - outS * 1000)).toBeLessThanOrEqual(90_000);
    expect((left?.toldMs ?? Infinity) - outS).toBeLessThanOrEqual(600);
  });
});

describe('milk that goes on', () => {
  it.each([
    [
      'after a look at the probe in a warm room',
      [
        { fromS: 600, aroundC: 22, lagS: 60 },
        { fromS: 660, aroundC: 12, lagS: 12 },
      ],
    ],
    [
      'after a rinse of the probe',
      [
        { fromS: 600, aroundC: 45, lagS: 8 },
        { fromS: 615, aroundC: 12, lagS: 12 },
      ],
    ],
    ['on the table, warming', [{ fromS: 600, aroundC: 22, lagS: 4000 }]],
    ['in stirred ice', [{ fromS: 600, aroundC: 1, lagS: 220 }]],
  ])('%s is told of nothing', (_, scenes) => {
    expect(told(scenes)).toBeNull();
    expect(told(scenes, { milkC: 12 })).toBeNull();
  });
});
