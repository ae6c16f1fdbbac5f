/** What milk does once something was done with it: one law, or one for a while and then another. */
import { type CoolingLaw, cooledC, minutesTo } from './cooling-law.ts';

/**
 * A course from the moment something was done: by `first` for its span where there is one, then by `law`.
 * `mixedK` is how much warmer than at the probe the milk is once it is mixed.
 */
export type Course = {
  first: { law: CoolingLaw; spanMin: number } | null;
  law: CoolingLaw;
  mixedK: number;
};

/** °C after `spanMin` of a course from `fromC` at the probe. */
export function courseC({ first, law, mixedK }: Course, fromC: number, spanMin: number): number {
  const startC = fromC + mixedK;
  if (first === null) return cooledC(law, startC, spanMin);
  if (spanMin <= first.spanMin) return cooledC(first.law, startC, spanMin);
  return cooledC(law, cooledC(first.law, startC, first.spanMin), spanMin - first.spanMin);
}

/** Minutes of a course from `fromC` at the probe down to `toC`; Infinity where it never gets there. */
export function courseMin({ first, law, mixedK }: Course, fromC: number, toC: number): number {
  const startC = fromC + mixedK;
  if (first === null) return minutesTo(law, startC, toC);
  const within = minutesTo(first.law, startC, toC);
  if (within <= first.spanMin) return within;
  return first.spanMin + minutesTo(law, cooledC(first.law, startC, first.spanMin), toC);
}
