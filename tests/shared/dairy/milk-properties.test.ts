import { expect, test } from 'vitest';
import { iceForMilkKg } from '../../../shared/dairy/ice-balance.ts';
import { milkKgPerL } from '../../../shared/dairy/milk-density.ts';
import { milkFreezesC } from '../../../shared/dairy/milk-freezing.ts';
import { milkConductivityWPerMK, milkHeatKJPerKgK } from '../../../shared/dairy/milk-heat.ts';

// Choi & Okos 1986 with the composition of whole milk in ASHRAE Refrigeration 2006, ch. 9, table 3.
test.each([
  [0, 3.8805, 0.5336],
  [4, 3.881, 0.5401],
  [20, 3.8846, 0.564],
  [38, 3.8912, 0.5871],
  [63, 3.9049, 0.6126],
  [72, 3.9112, 0.6199],
])('gives whole milk of %d °C its heat and conductivity', (tempC, heat, conductivity) => {
  expect([milkHeatKJPerKgK(tempC).toFixed(4), milkConductivityWPerMK(tempC).toFixed(4)]).toEqual([
    heat.toFixed(4),
    conductivity.toFixed(4),
  ]);
});

// Watson & Tittsler 1961, worked for Jersey and Holstein milk at 4 and 22 °C.
test.each([
  [4, 5.5, 9.5, 1.035863],
  [4, 3.5, 8.7, 1.033607],
  [22, 5.5, 9.5, 1.032641],
  [22, 3.5, 8.7, 1.030385],
])('weighs milk of %d °C with fat %d and solids-not-fat %d', (tempC, fatPercent, solidsNotFatPercent, kg) => {
  expect(milkKgPerL({ tempC, fatPercent, solidsNotFatPercent })).toBeCloseTo(kg, 6);
});

// Goff, University of Guelph, Dairy Chemistry and Physics: producer milk, 4.00 % fat and 8.95 % SNF.
test.each([
  [4.4, 1.035],
  [10, 1.033],
  [20, 1.03],
])('stays within 0.0016 kg/L of the printed density at %d °C', (tempC, kgPerL) => {
  const kg = milkKgPerL({ tempC, fatPercent: 4, solidsNotFatPercent: 8.95 });
  expect(Math.abs(kg - kgPerL)).toBeLessThan(0.0016);
});

// 4 kg of milk from 35 to 4 °C at 3.89 kJ/kgK: 4 · 3.89 · 31 / (333.4 + 16.8) = 1.377 kg.
test('reckons the ice for four kilograms of milk', () => {
  expect(iceForMilkKg({ milkKg: 4, heatKJPerKgK: 3.89, fromC: 35, toC: 4 })).toBeCloseTo(1.3775, 3);
});

test('reckons no ice for milk that is cold already', () => {
  expect(iceForMilkKg({ milkKg: 4, heatKJPerKgK: 3.89, fromC: 3, toC: 4 })).toBe(0);
});

// Cow −0.505 at the regulatory limit, sheep −0.554 (0.575 °H): Sherbon 1988; Rosenman & Garry.
test('freezes milk between what cow and sheep give', () => {
  expect(milkFreezesC).toBeLessThan(-0.505);
  expect(milkFreezesC).toBeGreaterThan(-0.554);
});
