/** What free convection needs to know of air, water and milk, as functions of °C. */

export type Fluid = {
  /** kg/m³. */
  density(tempC: number): number;
  /** W/(m·K). */
  conductivity(tempC: number): number;
  /** Kinematic viscosity, m²/s. */
  viscosity(tempC: number): number;
  /** Thermal diffusivity, m²/s. */
  diffusivity(tempC: number): number;
  /** °C of the greatest density, where the fluid has one above freezing; buoyancy turns round there. */
  readonly densestC: number | null;
};

type Column = readonly (readonly [tempC: number, value: number])[];

/** J/(kg·K), the mean of IAPWS-95 from 0 to 30 °C (4.220 at 0, 4.180 at 30). */
export const waterJPerKgK = 4190;

/** J/(kg·K) of whole milk: Choi & Okos 1986 give 3,881 at 4 °C and 3,891 at 38 °C. */
export const milkJPerKgK = 3888;

/** Water: density by Tanaka et al. 2001 (Metrologia 38:301), the rest from IAPWS tables. */
export const water: Fluid = fluidOf({
  density: (t) => 999.97495 * (1 - ((t - 3.983035) ** 2 * (t + 301.797)) / (522528.9 * (t + 69.34881))),
  conductivity: [
    [0, 0.561],
    [4, 0.5655],
    [20, 0.598],
    [40, 0.6285],
    [72, 0.6613],
    [100, 0.677],
  ],
  dynamicViscosity: [
    [0, 1.792e-3],
    [4, 1.567e-3],
    [10, 1.306e-3],
    [20, 1.0016e-3],
    [40, 6.53e-4],
    [63, 4.457e-4],
    [72, 3.927e-4],
    [100, 2.82e-4],
  ],
  heatJPerKgK: waterJPerKgK,
  densestC: 3.98,
});

/**
 * Whole milk. Density: the slope of Watson & Tittsler 1961 (J. Dairy Sci. 44:416) under 10 °C, Goff's table
 * (University of Guelph) up to 39 °C, Choi & Okos 1986 above. Conductivity: Choi & Okos. Viscosity: after
 * Fernández-Martín 1972 (J. Dairy Res. 39:65), from memory.
 */
export const milk: Fluid = fluidOf({
  density: columnOf([
    [0, 1035.9],
    [4.4, 1035.1],
    [10, 1034],
    [20, 1030.9],
    [38.9, 1023.2],
    [63, 1010],
    [100, 987],
  ]),
  conductivity: [
    [0, 0.5336],
    [4, 0.5401],
    [20, 0.564],
    [38, 0.5871],
    [63, 0.6126],
    [72, 0.6199],
  ],
  dynamicViscosity: [
    [0, 3.5e-3],
    [5, 3e-3],
    [20, 2e-3],
    [40, 1.2e-3],
    [60, 0.8e-3],
    [90, 0.5e-3],
  ],
  heatJPerKgK: milkJPerKgK,
  densestC: null,
});

/** Air at a height above sea level: Çengel's table A-15 (from memory), thinned by the pressure up there. */
export function airAt(heightM: number): Fluid {
  // US Standard Atmosphere 1976, height taken as geopotential: 0.02 % off at 2,000 m.
  const thinning = (1 - heightM / 44_331) ** 5.25588;
  return fluidOf({
    density: (t) => (thinning * 352.8) / (t + 273.15),
    conductivity: [
      [-40, 0.02057],
      [-20, 0.02211],
      [0, 0.02364],
      [20, 0.02514],
      [40, 0.02662],
      [100, 0.03095],
      [300, 0.04418],
    ],
    dynamicViscosity: [
      [-40, 1.527e-5],
      [-20, 1.63e-5],
      [0, 1.729e-5],
      [20, 1.825e-5],
      [40, 1.918e-5],
      [100, 2.181e-5],
      [300, 2.934e-5],
    ],
    heatJPerKgK: 1006,
    densestC: null,
  });
}

function fluidOf(parts: {
  density: (tempC: number) => number;
  conductivity: Column;
  dynamicViscosity: Column;
  heatJPerKgK: number;
  densestC: number | null;
}): Fluid {
  const conductivity = columnOf(parts.conductivity);
  const dynamicViscosity = columnOf(parts.dynamicViscosity);
  return {
    density: parts.density,
    conductivity,
    viscosity: (t) => dynamicViscosity(t) / parts.density(t),
    diffusivity: (t) => conductivity(t) / (parts.density(t) * parts.heatJPerKgK),
    densestC: parts.densestC,
  };
}

/** Straight lines between the rows; the first and last value beyond them. */
function columnOf(column: Column): (tempC: number) => number {
  return (tempC) => {
    let below: readonly [number, number] | null = null;
    for (const row of column) {
      if (tempC <= row[0]) {
        if (below === null) return row[1];
        return below[1] + ((row[1] - below[1]) * (tempC - below[0])) / (row[0] - below[0]);
      }
      below = row;
    }
    return below === null ? Number.NaN : below[1];
  };
}
