import { expect, test } from 'vitest';
import { cooledC, minutesTo } from '../../../daemon/forecast/cooling-law.ts';

const kelvin = 273.15;

// Geankoplis, Transport Processes, example 5.2-1: a steel ball, b = h 3 / (ρ c r) = 3.7113e-4 1/s.
test('cools the steel ball of Geankoplis 5.2-1 to 474.6 K in an hour', () => {
  const perMin = (60 * 11.36 * 3) / (7849 * 460.6 * 0.0254);
  const law = { aroundC: 394.3 - kelvin, n: 1, perMin };
  expect(cooledC(law, 699.9 - kelvin, 60) + kelvin).toBeCloseTo(474.6, 1);
});

// The same example in US units: 800 °F, bath 250 °F, 395 °F after an hour (394.62 unrounded).
test('cools the ball of Geankoplis 5.2-1 in US units to 395 °F', () => {
  const law = { aroundC: 250, n: 1, perMin: (2 * 3) / (490 * 0.11 * (1 / 12)) / 60 };
  expect(Math.round(cooledC(law, 800, 60))).toBe(395);
});

// Sachdeva, Fundamentals of Engineering Heat and Mass Transfer, 4.1: 450 to 150 °C in 100 °C, 5818 s.
test('takes 5818 s for the ball of Sachdeva 4.1', () => {
  const law = { aroundC: 100, n: 1, perMin: (60 * 10 * 6) / (7800 * 460 * 0.05) };
  expect(minutesTo(law, 450, 150) * 60).toBeCloseTo(5818, -1);
});

// Çengel, Heat Transfer: a thermocouple bead of 1 mm reads 99 % of the step after 10 s.
test('lets the bead of Çengel read 99 % after 10 s', () => {
  const law = { aroundC: 0, n: 1, perMin: (60 * 210 * 6) / (8500 * 320 * 0.001) };
  expect(minutesTo(law, 100, 1) * 60).toBeCloseTo(9.94, 2);
});

// Çengel, Heat Transfer, time of death: 37 to 25 °C in a room of 20 °C, 12.2 h (b = 2.7895e-5 1/s).
test('takes 12.2 h for the body of Çengel', () => {
  expect(minutesTo({ aroundC: 20, n: 1, perMin: 60 * 2.7895e-5 }, 37, 25) / 60).toBeCloseTo(12.19, 1);
});

// Singh & Heldman, tomato juice in a hemispherical kettle: 20 to 83.3 °C in 5 min at 90 °C (book's area, volume).
test('warms the kettle of Singh & Heldman to 83.3 °C', () => {
  const law = { aroundC: 90, n: 1, perMin: (60 * 5000 * 1.57) / (980 * 3950 * 0.26) };
  expect(cooledC(law, 20, 5)).toBeCloseTo(83.3, 1);
});

// Constructed: from 35 °C in a bath of 1 °C, time constant an hour, the lumped formula of the textbooks above.
test.each([
  [10, 1.3291],
  [7, 1.7346],
  [40 / 9, 2.2896],
  [4, 2.4277],
])('gets to %d °C when the lumped formula says', (toC, hours) => {
  expect(minutesTo({ aroundC: 1, n: 1, perMin: 1 / 60 }, 35, toC) / 60).toBeCloseTo(hours, 4);
});

test.each([1, 1.13, 1.25, 1.4])('comes where it says, with exponent %d', (n) => {
  const law = { aroundC: -3, n, perMin: 0.02 };
  expect(cooledC(law, 36, minutesTo(law, 36, 4.4))).toBeCloseTo(4.4, 9);
});

test('never gets below its surroundings', () => {
  const law = { aroundC: 4, n: 1.25, perMin: 0.05 };
  expect([minutesTo(law, 30, 4), cooledC(law, 30, 1e9) >= 4, cooledC(law, 4, 10)]).toEqual([
    Number.POSITIVE_INFINITY,
    true,
    4,
  ]);
});
