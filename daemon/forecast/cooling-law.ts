/** The plain law that every model of the pool follows: dT/dt = -a (T - Ta)^n, in closed form. */

/**
 * A law of cooling: surroundings `aroundC`, exponent `n` (1 is Newton's; natural convection has about 1.25)
 * and `perMin`, the relative rate of fall at 25 K above the surroundings, 1/min.
 */
export type CoolingLaw = { aroundC: number; n: number; perMin: number };

/** The difference at which `perMin` is meant, K. */
export const referenceK = 25;

/** The exponents of a pool's laws. */
export const exponents = [1, 1.13, 1.25, 1.4] as const;

const newtonBelow = 1.001;

/** The straightened difference: it changes linearly in time under the law with this exponent. */
export function straightened(overK: number, n: number): number {
  return n < newtonBelow ? Math.log(overK) : overK ** (1 - n);
}

/** °C after `spanMin` from `fromC`. Newton's law (n = 1): Singh & Heldman, Geankoplis ch. 5. */
export function cooledC(law: CoolingLaw, fromC: number, spanMin: number): number {
  const overK = fromC - law.aroundC;
  if (overK === 0) return fromC;
  const side = Math.sign(overK);
  const size = Math.abs(overK);
  if (law.n < newtonBelow) return law.aroundC + overK * Math.exp(-law.perMin * spanMin);
  const power = law.n - 1;
  const fall = 1 + power * law.perMin * (size / referenceK) ** power * spanMin;
  return law.aroundC + side * size * fall ** (-1 / power);
}

/** Minutes from `fromC` down to `toC`; 0 where it is there already, Infinity where it never gets there. */
export function minutesTo(law: CoolingLaw, fromC: number, toC: number): number {
  if (fromC <= toC) return 0;
  const fromK = fromC - law.aroundC;
  const toK = toC - law.aroundC;
  if (toK <= 0 || law.perMin <= 0) return Number.POSITIVE_INFINITY;
  if (law.n < newtonBelow) return Math.log(fromK / toK) / law.perMin;
  const power = law.n - 1;
  return ((toK / referenceK) ** -power - (fromK / referenceK) ** -power) / (power * law.perMin);
}
