import { describe, expect, it } from 'vitest';
import { type FoundMilk, feelStart, openMilkStart } from '../../../daemon/watch/milk-start.ts';
import { playDays } from '../../skill/everyday/days.ts';
import { playOtherDays } from '../../skill/everyday/other-days.ts';
import { judgeDays, type StartFigures } from '../../skill/everyday/score.ts';

const startMs = 1_760_000_000_000;
/** From `fromS` on the probe goes towards `aroundC` by a lag of its own; what it goes to may itself cool. */
type Scene = { fromS: number; aroundC: number; lagS: number; coolsS?: number };

/** What is found on a probe that lay at 19 °C and then goes through the scenes; instants in s. */
function found(scenes: Scene[], { spanS = 1800, everyS = 2 } = {}): (FoundMilk & { toldS: number })[] {
  const all: (FoundMilk & { toldS: number })[] = [];
  let state = openMilkStart();
  let tempC = 19;
  for (let atS = 0; atS <= spanS; atS += 1) {
    const here = scenes.findLast(({ fromS }) => fromS <= atS) ?? { fromS: 0, aroundC: 19, lagS: 100 };
    const aroundC =
      here.coolsS === undefined ? here.aroundC : here.aroundC * Math.exp(-(atS - here.fromS) / here.coolsS);
    tempC += (aroundC - tempC) * (1 - Math.exp(-1 / here.lagS));
    if (atS % everyS !== 0) continue;
    const felt = feelStart(state, { atMs: startMs + atS * 1000, tempC: Math.round(tempC * 16) / 16 });
    state = felt.state;
    if (felt.found !== null) all.push({ ...felt.found, toldS: atS });
  }
  return all;
}

describe('a probe that comes into fresh milk', () => {
  const intoS = 900;
  it.each([
    ['on its way to a freezer', [{ fromS: intoS, aroundC: 35, lagS: 12, coolsS: 9000 }]],
    ['on its way to an ice bath', [{ fromS: intoS, aroundC: 35, lagS: 12, coolsS: 900 }]],
    [
      'after a hot rinse and a hand',
      [
        { fromS: intoS - 60, aroundC: 50, lagS: 7 },
        { fromS: intoS - 40, aroundC: 19, lagS: 90 },
        { fromS: intoS - 20, aroundC: 32, lagS: 30 },
        { fromS: intoS, aroundC: 36, lagS: 12, coolsS: 6000 },
      ],
    ],
  ])('%s is found within 5 min, since within 1 min of the truth', (_, scenes) => {
    const [first, ...more] = found(scenes);
    expect(more).toEqual([]);
    expect(first?.by).toBe('insertion');
    expect(Math.abs(((first?.sinceMs ?? 0) - startMs) / 1000 - intoS)).toBeLessThanOrEqual(60);
    expect((first?.toldS ?? Infinity) - intoS).toBeLessThanOrEqual(300);
  });

  it('is found again in the next jar, soon after the first', () => {
    const jars = found(
      [
        { fromS: 600, aroundC: 35, lagS: 12, coolsS: 6000 },
        { fromS: 1300, aroundC: 19, lagS: 90 },
        { fromS: 1320, aroundC: 37, lagS: 12, coolsS: 6000 },
      ],
      { spanS: 2400 },
    );
    expect(jars).toHaveLength(2);
    expect(Math.abs(((jars[1]?.sinceMs ?? 0) - startMs) / 1000 - 1320)).toBeLessThanOrEqual(60);
  });
});

it.each([
  [
    'a hand',
    [
      { fromS: 900, aroundC: 33, lagS: 30 },
      { fromS: 930, aroundC: 19, lagS: 100 },
    ],
  ],
  [
    'a rinse',
    [
      { fromS: 900, aroundC: 45, lagS: 8 },
      { fromS: 915, aroundC: 19, lagS: 100 },
    ],
  ],
  ['a sunny sill', [{ fromS: 900, aroundC: 31, lagS: 500 }]],
])('finds no milk in %s', (_, scenes) => {
  expect(found(scenes)).toEqual([]);
});

// The full size is `npm run skill -- starts`; this one tells within seconds when something broke.
it.each([
  ['everyday', playDays],
  ['other', playOtherDays],
] as const)('misses one jar and begins one wrongly at most in twenty days of the %s world', (_, play) => {
  const all = [1, 2].map((seed) => judgeDays(play({ days: 10, seed })).figures);
  const sum = (of: (figures: StartFigures) => number) =>
    all.reduce((before, figures) => before + of(figures), 0);
  const feelable = sum(({ insertions, missedAlike, missedInGap }) => insertions - missedAlike - missedInGap);
  expect(feelable - sum(({ noticed }) => noticed)).toBeLessThanOrEqual(1);
  expect(sum(({ falseStarts }) => falseStarts)).toBeLessThanOrEqual(1);
  expect(sum(({ falseEnds }) => falseEnds)).toBe(0);
  expect(Math.max(...all.map(({ usPerReading }) => usPerReading))).toBeLessThan(100);
  expect(Math.max(...all.map(({ stateBytesMost }) => stateBytesMost))).toBeLessThan(3000);
});
