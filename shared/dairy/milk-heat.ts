/** How much heat milk holds and passes on: Choi & Okos's component equations for whole milk. */

type Component = {
  fraction: number;
  /** a + b t + c t² in W/mK, kg/m³ and kJ/kgK, t in °C. */
  conductivity: readonly [number, number, number];
  density: readonly [number, number, number];
  heat: readonly [number, number, number];
};

/** Mass fractions of whole milk: ASHRAE Refrigeration Handbook 2006, ch. 9, table 3. */
const wholeMilk: readonly Component[] = [
  {
    fraction: 0.8769,
    conductivity: [5.7109e-1, 1.7625e-3, -6.7036e-6],
    density: [9.9718e2, 3.1439e-3, -3.7574e-3],
    heat: [4.1762, -9.0864e-5, 5.4731e-6],
  },
  {
    fraction: 0.0328,
    conductivity: [1.7881e-1, 1.1958e-3, -2.7178e-6],
    density: [1.3299e3, -5.184e-1, 0],
    heat: [2.0082, 1.2089e-3, -1.3129e-6],
  },
  {
    fraction: 0.0366,
    conductivity: [1.8071e-1, -2.7604e-4, -1.7749e-7],
    density: [9.2559e2, -4.1757e-1, 0],
    heat: [1.9842, 1.4733e-3, -4.8008e-6],
  },
  {
    fraction: 0.0465,
    conductivity: [2.0141e-1, 1.3874e-3, -4.3312e-6],
    density: [1.5991e3, -3.1046e-1, 0],
    heat: [1.5488, 1.9625e-3, -5.9399e-6],
  },
  {
    fraction: 0.0072,
    conductivity: [3.2962e-1, 1.4011e-3, -2.9069e-6],
    density: [2.4238e3, -2.8063e-1, 0],
    heat: [1.0926, 1.8896e-3, -3.6817e-6],
  },
];

/** Specific heat of whole milk, kJ/kgK, 0..150 °C: the sum of its components' by mass (Choi & Okos 1986). */
export function milkHeatKJPerKgK(tempC: number): number {
  return wholeMilk.reduce((sum, { fraction, heat }) => sum + fraction * at(heat, tempC), 0);
}

/** Conductivity of whole milk, W/mK, 0..150 °C: components side by side, by volume (Choi & Okos 1986). */
export function milkConductivityWPerMK(tempC: number): number {
  const volumes = wholeMilk.map(({ fraction, density }) => fraction / at(density, tempC));
  const total = volumes.reduce((sum, volume) => sum + volume, 0);
  return wholeMilk.reduce(
    (sum, { conductivity }, place) => sum + ((volumes[place] as number) / total) * at(conductivity, tempC),
    0,
  );
}

function at([a, b, c]: readonly [number, number, number], tempC: number): number {
  return a + b * tempC + c * tempC * tempC;
}
