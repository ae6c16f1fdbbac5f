/** How heavy milk is. */

/**
 * Density of milk, kg/L, by Watson & Tittsler 1961 (J. Dairy Sci. 44:416), from temperature, fat and
 * solids-not-fat in percent; measured there at 1..10 °C, within 0.002 to 20 °C and 0.005 to 39 °C.
 */
export function milkKgPerL(of: { tempC: number; fatPercent: number; solidsNotFatPercent: number }): number {
  return 1.003073 - 0.000179 * of.tempC - 0.000368 * of.fatPercent + 0.00374 * of.solidsNotFatPercent;
}

/** Density taken for milk of unknown make, kg/L: producer milk at 20 °C (Goff, University of Guelph). */
export const usualMilkKgPerL = 1.03;
