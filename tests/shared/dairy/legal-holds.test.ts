import { describe, expect, it } from 'vitest';
import type { HoldProduct } from '../../../shared/contract/hold.ts';
import {
  batchRule,
  eggnogPairs,
  isRicher,
  legalPairs,
  limitOfPairC,
  refusedHold,
  ultraPair,
} from '../../../shared/dairy/legal-holds.ts';
import { celsiusOf } from '../../../shared/units/celsius.ts';

/** 21 CFR 131.3(b), 1240.61(b) and the Grade "A" PMO: °F, exact °C, seconds. */
const us = [
  [145, 62.778, 1800],
  [161, 71.667, 15],
  [191, 88.333, 1],
  [194, 90, 0.5],
  [201, 93.889, 0.1],
  [204, 95.556, 0.05],
  [212, 100, 0.01],
] as const;

describe('the legal pairs', () => {
  it('are those of US law, of which one printed copy has 221 °F for 212', () => {
    const found = legalPairs.filter(({ rule }) => rule === 'US');
    expect(found.map((pair) => [pair.limit.value, pair.holdMs / 1000])).toEqual(
      us.map(([tempF, , seconds]) => [tempF, seconds]),
    );
    for (const [place, [, tempC]] of us.entries()) {
      expect(limitOfPairC(found[place] as (typeof found)[number])).toBeCloseTo(tempC, 3);
    }
  });

  it('are those of EU law, written in °C (Reg. (EC) 853/2004, Annex III, Section IX)', () => {
    const found = legalPairs.filter(({ rule }) => rule === 'EU');
    expect(found.map((pair) => [limitOfPairC(pair), pair.holdMs])).toEqual([
      [63, 1_800_000],
      [72, 15_000],
    ]);
  });

  it('have eggnog apart (21 CFR 1240.61(c)) and ultra-pasteurization at 280 °F (131.3(c))', () => {
    expect(eggnogPairs.map(({ limit, holdMs }) => [limit.value, holdMs / 1000])).toEqual([
      [155, 1800],
      [175, 25],
      [180, 15],
    ]);
    expect(limitOfPairC(ultraPair)).toBeCloseTo(137.778, 3);
  });

  it('can be held in a pot only for half an hour', () => {
    const batches = [...legalPairs, ...eggnogPairs].filter(({ batch }) => batch);
    expect(batches.map(({ name }) => name)).toEqual([
      '145 °F for 30 min',
      '63 °C for 30 min',
      '155 °F for 30 min',
    ]);
  });
});

describe('what a batch asks', () => {
  it.each([
    [{}, 145],
    [{ fatPercent: 9.9 }, 145],
    [{ fatPercent: 10 }, 150],
    [{ fatPercent: 20 }, 150],
    [{ solidsPercent: 18 }, 150],
    [{ sweetened: true }, 150],
    [{ eggnog: true }, 155],
    [{ eggnog: true, sweetened: true }, 155],
  ] satisfies [HoldProduct, number][])(
    'of %j in the US is stepped by 5 °F, not by 3 °C',
    (product, tempF) => {
      const rule = batchRule('us-145f-30min', product);
      expect(rule).toEqual({
        limitC: celsiusOf(tempF, 'F'),
        holdMs: 1_800_000,
        airLowC: celsiusOf(tempF + 5, 'F'),
      });
    },
  );

  it('of cream in the EU is the same as of milk', () => {
    const rule = { limitC: 63, holdMs: 1_800_000, airLowC: null };
    expect(batchRule('eu-63c-30min', { fatPercent: 20 })).toEqual(rule);
    expect(isRicher({ fatPercent: 20 })).toBe(true);
  });

  it('of the air over the milk is 5 °F more (3 CCR 584(b))', () => {
    const { airLowC, limitC } = batchRule('us-145f-30min');
    expect((airLowC ?? 0) - limitC).toBeCloseTo(2.778, 3);
  });

  // 62.78 °C is 145.004 °F; 62.9 °C passes the °F rule and fails the EU's.
  it.each([
    [62.77, false, false],
    [62.78, true, false],
    [62.9, true, false],
    [63, true, true],
  ])('at %f °C differs between the two rules', (tempC, usHolds, euHolds) => {
    expect(tempC >= batchRule('us-145f-30min').limitC).toBe(usHolds);
    expect(tempC >= batchRule('eu-63c-30min').limitC).toBe(euHolds);
  });
});

describe('a refused hold', () => {
  it.each([
    [72, 15_000, '72 °C for 15 s'],
    [celsiusOf(161, 'F'), 15_000, '161 °F for 15 s'],
    [celsiusOf(166, 'F'), 15_000, '161 °F for 15 s'],
    [celsiusOf(191, 'F'), 1_000, '191 °F for 1 s'],
    [89, 1_000, null],
    [celsiusOf(194, 'F'), 500, '194 °F for 0.5 s'],
    [celsiusOf(201, 'F'), 100, '201 °F for 0.1 s'],
    [celsiusOf(204, 'F'), 50, '204 °F for 0.05 s'],
    [100, 10, '212 °F for 0.01 s'],
    [celsiusOf(175, 'F'), 25_000, '175 °F for 25 s'],
    [celsiusOf(180, 'F'), 15_000, '180 °F for 15 s'],
    [138, 2_000, '280 °F for 2 s'],
    [80, 59_999, null],
    [null, 30_000, null],
  ] as const)('of %f °C for %i ms is named where it is a pair of continuous flow', (limitC, holdMs, pair) => {
    expect(refusedHold({ limitC, holdMs })).toEqual({ pair });
  });

  it('is none from one minute on', () => {
    expect(refusedHold({ limitC: 72, holdMs: 60_000 })).toBeNull();
    expect(refusedHold({ limitC: 63, holdMs: 1_800_000 })).toBeNull();
  });
});
