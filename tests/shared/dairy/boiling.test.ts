import { describe, expect, it } from 'vitest';
import { airPressurePa, heightRangeM } from '../../../shared/dairy/air-pressure.ts';
import { milkBoilsC, saturationPa, waterBoilsC } from '../../../shared/dairy/boiling.ts';

/** US Standard Atmosphere 1976 (geometric heights) and IAPWS-IF97: m, Pa, °C. */
const standard = [
  [0, 101_325.0, 99.974],
  [100, 100_129.5, 99.642],
  [250, 98_357.7, 99.144],
  [500, 95_461.3, 98.313],
  [750, 92_634.6, 97.481],
  [1000, 89_876.3, 96.649],
  [1250, 87_185.1, 95.817],
  [1500, 84_559.7, 94.984],
  [1750, 81_998.9, 94.151],
  [2000, 79_501.4, 93.317],
  [2500, 74_691.8, 91.648],
  [3000, 70_121.2, 89.977],
  [4000, 61_660.4, 86.628],
] as const;

/** Wikipedia "High-altitude cooking", citing NASA and NOAA: ft, °F; rounded there to tenths or whole degrees. */
const published = [
  [0, 212],
  [500, 211.1],
  [1000, 210.2],
  [2000, 208.4],
  [5000, 203],
  [6000, 201.1],
  [8000, 197.4],
  [10_000, 193.6],
] as const;

/** Saturation temperature by pressure, hPa to °C: IAPWS-IF97. */
const byPressure = [
  [700, 89.932],
  [800, 93.485],
  [850, 95.125],
  [950, 98.178],
  [1000, 99.606],
  [1013.25, 99.974],
  [1050, 100.976],
] as const;

/** mmHg to °C: IAPWS-IF97. */
const byMercury = [
  [740, 99.229],
  [760, 99.974],
  [780, 100.704],
] as const;

describe('the boil of a house', () => {
  it.each(standard)('follows from %i m', (heightM, pressurePa, boilsC) => {
    expect(Math.abs(airPressurePa(heightM) - pressurePa)).toBeLessThan(0.1);
    expect(waterBoilsC(airPressurePa(heightM))).toBeCloseTo(boilsC, 3);
  });

  it.each(published)('agrees with a published list at %i ft', (heightFt, boilsF) => {
    const waterF = (waterBoilsC(airPressurePa(heightFt * 0.3048)) * 9) / 5 + 32;
    expect(Math.abs(waterF - boilsF)).toBeLessThan(0.2);
  });

  it('takes a height beyond the first layer as its edge', () => {
    expect(airPressurePa(20_000)).toBe(airPressurePa(heightRangeM.most));
    expect(airPressurePa(-5_000)).toBe(airPressurePa(heightRangeM.least));
  });

  it('puts milk a sixth of a kelvin over water (Walstra: 100.17 °C at one atmosphere)', () => {
    expect(Math.abs(milkBoilsC(0) - 100.17)).toBeLessThan(0.05);
    expect(milkBoilsC(1420)).toBeCloseTo(95.41, 1);
  });
});

describe('saturated water (IAPWS R7-97(2012))', () => {
  it('boils as tables 35 and 36 say', () => {
    expect(waterBoilsC(0.1e6) + 273.15).toBeCloseTo(372.755919, 6);
    expect(waterBoilsC(1e6) + 273.15).toBeCloseTo(453.035632, 6);
    expect(waterBoilsC(10e6) + 273.15).toBeCloseTo(584.149488, 6);
    expect(saturationPa(300 - 273.15) / 1e6).toBeCloseTo(0.00353658941, 11);
    expect(saturationPa(500 - 273.15) / 1e6).toBeCloseTo(2.63889776, 8);
    expect(saturationPa(600 - 273.15) / 1e6).toBeCloseTo(12.3443146, 7);
  });

  it.each(byPressure)('boils under %f hPa', (hPa, boilsC) => {
    expect(waterBoilsC(hPa * 100)).toBeCloseTo(boilsC, 3);
  });

  it.each(byMercury)('boils under %i mmHg', (mmHg, boilsC) => {
    expect(waterBoilsC((mmHg * 101_325) / 760)).toBeCloseTo(boilsC, 3);
  });

  it('does not boil at 100.000 °C under one atmosphere of ITS-90, and moves by 0.02765 K a hPa there', () => {
    expect(waterBoilsC(101_325)).toBeCloseTo(99.9743, 4);
    expect(waterBoilsC(101_375) - waterBoilsC(101_275)).toBeCloseTo(0.02765, 4);
  });

  it('inverts itself from 0 to 150 °C', () => {
    for (let tempC = 0; tempC <= 150; tempC += 7.5) {
      expect(waterBoilsC(saturationPa(tempC))).toBeCloseTo(tempC, 7);
    }
  });
});
