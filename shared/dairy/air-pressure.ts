/** How much air stands over a house. */

/** US Standard Atmosphere 1976: pressure and temperature at sea level, lapse rate, and the exponent that follows. */
const seaLevelPa = 101_325;
const seaLevelK = 288.15;
const lapseKPerM = 0.0065;
const exponent = 5.255876;
/** Radius of the Earth by which that atmosphere turns a height into a geopotential one, m. */
const earthM = 6_356_766;

/** Heights for which the pressure is given, m: the deepest shore and the top of the first layer. */
export const heightRangeM = { least: -500, most: 11_000 } as const;

/**
 * Pressure in Pa at a height above the sea in m, by the US Standard Atmosphere 1976; a height outside
 * `heightRangeM` is taken as its nearer end. Weather changes it by ±3 %, which moves the boil by ±0.8 °C.
 */
export function airPressurePa(heightM: number): number {
  const atM = Math.min(heightRangeM.most, Math.max(heightRangeM.least, heightM));
  const geopotentialM = (earthM * atM) / (earthM + atM);
  return seaLevelPa * (1 - (lapseKPerM * geopotentialM) / seaLevelK) ** exponent;
}
