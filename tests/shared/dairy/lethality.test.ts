import { describe, expect, it } from 'vitest';
import { legalPairs, limitOfPairC } from '../../../shared/dairy/legal-holds.ts';
import { beerScale, lethalityOf, lethalRate } from '../../../shared/dairy/lethality.ts';

/** Food Biochemistry and Food Processing, 2nd ed. (Wiley 2012), table 38.4: °F each 4 min; F at 250 °F is 2.52 min. */
const table384 = [62, 71, 99, 134, 171, 202, 231, 241, 247, 248, 250, 250, 231, 181, 137, 97];

/** A constructed vat run, °C each minute, with integrals computed beforehand. */
const vat = [
  20, 25, 30, 35, 40, 45, 50, 54, 57, 59, 60.5, 61.5, 62.3, 62.8, 63, 63.1, 63.2, 63.2, 63.1, 63.1, 63, 63,
  63.1, 63.2, 63.1, 63, 63, 63.1, 63.2, 63.2, 63.1, 63, 63, 63.1, 63.2, 63.1, 63.1, 63, 63, 63.1, 63.1, 63.2,
  63, 63, 63.1, 61, 57, 50, 42, 35,
];

/** Lethal rates against 63 °C: °C, then by z of 4.33, 6.3 and 10. */
const rates = [
  [55, 0.0142, 0.05372, 0.15849],
  [60, 0.20284, 0.33405, 0.50119],
  [62.5, 0.76653, 0.83298, 0.89125],
  [63, 1, 1, 1],
  [65, 2.89663, 2.07711, 1.58489],
  [72, 119.818, 26.827, 7.94328],
] as const;

function exactOf(temps: readonly number[], scale: { refC: number; zC: number }): number {
  let sum = 0;
  for (let place = 1; place < temps.length; place++) {
    sum += lethalityOf(temps[place - 1] as number, temps[place] as number, 1, scale);
  }
  return sum;
}

describe('lethality', () => {
  it('sums to 6.27 in a printed table', () => {
    const celsius = (tempF: number) => ((tempF - 32) * 5) / 9;
    const scale = { refC: celsius(250), zC: 10 };
    const minutes = table384.reduce((sum, tempF) => sum + 4 * lethalRate(celsius(tempF), scale), 0);
    expect(minutes).toBeCloseTo(15.8004, 3);
    expect(minutes / 2.52).toBeCloseTo(6.27, 2);
  });

  it('makes 15 min at 85 °C worth 10 s at 102 °C for z = 8.7 °C (Mullan, after Stumbo 1973)', () => {
    expect(15 * lethalRate(85, { refC: 102, zC: 8.7 })).toBeCloseTo(0.1668, 4);
  });

  it.each([
    [63, 4.33, 35.180645],
    [72, 6.3, 1.325098],
    [60, 7, 95.78467],
    [63, 10, 36.386087],
  ])('integrates a vat run exactly against %f °C by z of %f', (refC, zC, minutes) => {
    expect(exactOf(vat, { refC, zC })).toBeCloseTo(minutes, 5);
  });

  it('integrates straight ramps exactly', () => {
    expect(lethalityOf(50, 63, 13, { refC: 63, zC: 4.33 })).toBeCloseTo(1.878625, 5);
    expect(lethalityOf(60, 72, 12, { refC: 72, zC: 6.3 })).toBeCloseTo(2.701986, 5);
    expect(lethalityOf(63, 63, 5, { refC: 63, zC: 4.33 })).toBe(5);
  });

  it('is never overstated, as the trapezoid is', () => {
    const scale = { refC: 63, zC: 4.33 };
    const trapezoid = (lethalRate(50, scale) + lethalRate(63, scale)) / 2;
    expect(lethalityOf(50, 63, 1, scale)).toBeLessThan(trapezoid);
  });

  it.each(rates)('has the rates of its table at %f °C', (tempC, first, second, third) => {
    for (const [zC, rate] of [
      [4.33, first],
      [6.3, second],
      [10, third],
    ] as const) {
      expect(Math.abs(lethalRate(tempC, { refC: 63, zC }) / rate - 1)).toBeLessThan(4e-4);
    }
  });

  // Pasteurization units of beer: Del Vecchio et al. 1951, in the form with z = 7 °C.
  it.each([
    [60, 15, 15],
    [62, 10, 19.307],
    [63, 30, 80.4809],
    [65, 5, 25.8974],
    [72, 0.25, 12.9487],
    [80, 0.5, 359.843],
  ])('gives the units of beer at %f °C for %f min', (tempC, minutes, units) => {
    expect(minutes * lethalRate(tempC, beerScale)).toBeCloseTo(units, 2);
  });

  it('is no straight line through the legal pairs, so that it may pass none', () => {
    const [low, high, next] = legalPairs;
    const zF = (from: typeof low, to: typeof low) => {
      if (from === undefined || to === undefined) return 0;
      return ((limitOfPairC(to) - limitOfPairC(from)) * 9) / 5 / Math.log10(from.holdMs / to.holdMs);
    };
    expect(zF(low, high)).toBeCloseTo(7.7, 1);
    expect(zF(high, next)).toBeCloseTo(25.5, 1);
  });

  it('has the slope between the two EU pairs, 9 / log10(120)', () => {
    expect(9 / Math.log10(120)).toBeCloseTo(4.3286, 4);
  });

  it('follows D and z of a paper (Bradshaw et al. 1985, Listeria in whole milk: D71.7 0.9 s, z 6.3 °C)', () => {
    const dOf = (tempC: number) => 0.9 / lethalRate(tempC, { refC: 71.7, zC: 6.3 });
    expect(dOf(63)).toBeCloseTo(21.64, 1);
    expect(dOf(72)).toBeCloseTo(0.8065, 3);
    expect(15 / dOf(71.7)).toBeCloseTo(16.7, 1);
  });
});
