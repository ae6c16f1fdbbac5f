import { expect, test } from 'vitest';
import { iceForMilkKg } from '../../../shared/dairy/ice-balance.ts';
import { waterForMilkL } from '../../../shared/dairy/water-balance.ts';

// The heat balance m c dT of both sides with 4.19 kJ/kgK for water (IAPWS): 1 kg of milk of 3.89 kJ/kgK from 35 to
// 20 °C gives 58.35 kJ, which 2.785 L of water take by 5 K.
test('finds the water that takes up the heat of milk as it warms', () => {
  const milk = { milkKg: 1, heatKJPerKgK: 3.89, fromC: 35, toC: 20 };
  expect(waterForMilkL({ ...milk, warmsK: 5 })).toBeCloseTo(2.785, 3);
  expect(waterForMilkL({ ...milk, warmsK: 10 })).toBeCloseTo(2.785 / 2, 3);
});

test('wants no water for milk that is colder already', () => {
  expect(waterForMilkL({ milkKg: 1, heatKJPerKgK: 3.89, fromC: 15, toC: 20, warmsK: 5 })).toBe(0);
});

// Sizing by m c (T1 - T2)/(333.4 + 4.19 T2): 4 kg of milk of 3.89 kJ/kgK from 35 to 4 °C want 1.378 kg of ice.
test('takes ice from the same balance as the handbook rule for an ice bath', () => {
  expect(iceForMilkKg({ milkKg: 4, heatKJPerKgK: 3.89, fromC: 35, toC: 4 })).toBeCloseTo(1.378, 2);
});
