/** When water and milk boil, and how much vapour stands over them. */
import { airPressurePa } from './air-pressure.ts';

/** Coefficients n1..n10 of the saturation line, IAPWS-IF97 region 4 (IAPWS R7-97(2012), table 34). */
const n = [
  0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.1202082470247e5, -0.32325550322333e7,
  0.1491510861353e2, -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3,
] as const;

/** Pressure in Pa of saturated water vapour at 0..373 °C: IAPWS-IF97 region 4, equation 30. */
export function saturationPa(tempC: number): number {
  const k = tempC + 273.15;
  const theta = k + n[8] / (k - n[9]);
  const a = theta * theta + n[0] * theta + n[1];
  const b = n[2] * theta * theta + n[3] * theta + n[4];
  const c = n[5] * theta * theta + n[6] * theta + n[7];
  return 1e6 * ((2 * c) / (-b + Math.sqrt(b * b - 4 * a * c))) ** 4;
}

/** Temperature in °C at which water boils under a pressure of 611 Pa to 22 MPa: IAPWS-IF97 region 4, equation 31. */
export function waterBoilsC(pressurePa: number): number {
  const beta = (pressurePa / 1e6) ** 0.25;
  const e = beta * beta + n[2] * beta + n[5];
  const f = n[0] * beta * beta + n[3] * beta + n[6];
  const g = n[1] * beta * beta + n[4] * beta + n[7];
  const d = (2 * g) / (-f - Math.sqrt(f * f - 4 * e * g));
  return (n[9] + d - Math.sqrt((n[9] + d) ** 2 - 4 * (n[8] + n[9] * d))) / 2 - 273.15;
}

/** How much higher milk boils than water, K: its dissolved sugar and salts (0.15 to 0.17; Walstra, Dairy Technology). */
export const milkBoilsHigherK = 0.16;

/** Temperature in °C at which milk boils at a height above the sea in m, in the standard atmosphere. */
export function milkBoilsC(heightM: number): number {
  return waterBoilsC(airPressurePa(heightM)) + milkBoilsHigherK;
}
