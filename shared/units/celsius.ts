/** The units in which a temperature may be given; `mC` is a thousandth of a °C. */
export type TempUnit = 'C' | 'F' | 'K' | 'mC';

/** Returns °C, unrounded: (F - 32) * 5/9, K - 273.15 (SI Brochure, 9th edition). */
export function celsiusOf(value: number, unit: TempUnit): number {
  switch (unit) {
    case 'C':
      return value;
    case 'F':
      return ((value - 32) * 5) / 9;
    case 'K':
      return value - 273.15;
    case 'mC':
      return value / 1000;
    default:
      return unit satisfies never;
  }
}
