import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  parseHeight,
  parseSpan,
  parseTemp,
  parseTempDiff,
  parseVolume,
} from '../../../shared/units/parse.ts';

describe('parseTemp', () => {
  it.each([
    ['40 F', ((40 - 32) * 5) / 9],
    ['40°F', ((40 - 32) * 5) / 9],
    ['40 ° F', ((40 - 32) * 5) / 9],
    ['40\u00a0°F', ((40 - 32) * 5) / 9],
    ['32 F', 0],
    ['212F', 100],
    ['4.44C', 4.44],
    ['88 C', 88],
    ['88 °c', 88],
    ['4 Cel', 4],
    ['-0.5 C', -0.5],
    ['\u22120.5 °C', -0.5],
    ['+3 C', 3],
    ['-40 F', -40],
    ['-40 C', -40],
    ['.5 C', 0.5],
    ['-0 C', 0],
  ])('reads %j as %d °C', (text, tempC) => {
    expect(parseTemp(text)).toBe(tempC);
  });

  it.each(['', '40', 'F', '40 K', '40 FF', '4,44 C', '4.4.4 C', '1e2 C', 'C 40', '40 F 3', '- 4 C', '4. C'])(
    'refuses %j',
    (text) => {
      expect(parseTemp(text)).toBeNull();
    },
  );

  it('refuses what is colder than absolute zero', () => {
    expect([parseTemp('-273.15 C'), parseTemp('-273.16 C'), parseTemp('-459.68 F')]).toEqual([
      -273.15,
      null,
      null,
    ]);
  });

  it('refuses a name that every object has', () => {
    expect(['4 constructor', '4 toString', '4 __proto__'].map(parseTemp)).toEqual([null, null, null]);
    expect(['4 constructor', '4 valueOf'].map(parseVolume)).toEqual([null, null]);
  });

  it('refuses a text over the limit, and answers a hostile one at once', () => {
    expect(parseTemp(`${'1'.repeat(70)} C`)).toBeNull();
    expect(parseSpan('1'.repeat(1_000_000))).toBeNull();
  });
});

describe('parseTempDiff', () => {
  it('takes no 32 off', () => {
    expect([parseTempDiff('0.5 C'), parseTempDiff('9 F'), parseTempDiff('1 K')]).toEqual([0.5, 5, null]);
  });
});

describe('parseSpan', () => {
  it.each([
    ['60m', 3_600_000],
    ['1h', 3_600_000],
    ['90s', 90_000],
    ['1h30m', 5_400_000],
    ['1 h 30 min', 5_400_000],
    ['15 min', 900_000],
    ['1.5h', 5_400_000],
    ['2 days', 172_800_000],
    ['500ms', 500],
    ['1.1s', 1100],
    ['0s', 0],
    ['1 hour 5 minutes', 3_900_000],
  ])('reads %j as %d ms', (text, spanMs) => {
    expect(parseSpan(text)).toBe(spanMs);
  });

  it.each(['', '60', 'm', '-5m', '30m1h', '1h2h', '1h 30', '1..5h', '5 weeks', '1h,30m', '1h-30m'])(
    'refuses %j',
    (text) => {
      expect(parseSpan(text)).toBeNull();
    },
  );
});

describe('parseVolume', () => {
  // NIST Handbook 44, Appendix C: one liquid quart is 0.946 352 9 L, one gallon 3.785 412 L.
  it.each([
    ['0.95L', 0.95],
    ['0.95 l', 0.95],
    ['950 ml', 0.95],
    ['95 cl', 0.95],
    ['9.5 dL', 0.95],
    ['1 qt', 0.946352946],
    ['2 gal', 7.570823568],
    ['1 pint', 0.473176473],
    ['4 cups', 0.946352946],
    ['1 fl oz', 0.0295735295625],
  ])('reads %j as %d L', (text, volumeL) => {
    expect(parseVolume(text)).toBe(volumeL);
  });

  it.each(['0 L', '-1 L', '1', '1 oz', '1 kg', 'one quart'])('refuses %j', (text) => {
    expect(parseVolume(text)).toBeNull();
  });
});

describe('parseHeight', () => {
  it.each([
    ['1420 m', 1420],
    ['1,420 m', 1420],
    ['0m', 0],
    ['-12 m', -12],
    ['5000 ft', 1524],
    ['4,660 feet', 4660 * 0.3048],
  ])('reads %j as %d m', (text, heightM) => {
    expect(parseHeight(text)).toBe(heightM);
  });

  it.each(['1420', '1.4 km', 'high', '1,42 m'])('refuses %j', (text) => {
    expect(parseHeight(text)).toBeNull();
  });
});

it('parses any text to a finite number or to null, and never throws', () => {
  fc.assert(
    fc.property(fc.oneof(fc.string(), fc.stringMatching(/^[-+\d.]{0,8} ?[a-zA-Z° ]{0,6}$/)), (text) => {
      for (const parse of [parseTemp, parseTempDiff, parseSpan, parseVolume, parseHeight]) {
        const value = parse(text);
        expect(value === null || Number.isFinite(value)).toBe(true);
      }
    }),
    { seed: 40, numRuns: 500 },
  );
});
