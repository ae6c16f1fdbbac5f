/**
 * The longest stretch of the last minutes that one jar of milk alone can explain: a probe with one lag (first
 * order) that came into milk of one temperature, which then stood and cooled no faster than milk can. Where
 * that stretch begins, the probe came into the milk. A rinse, a hand and a room need something else than one
 * jar to explain them.
 */

import type { Recent } from './recent.ts';

/** What one jar of milk would have to be to explain the readings from `sinceMs` to the newest. */
export type Stretch = {
  sinceMs: number;
  /** The milk when the probe came in. */
  milkC: number;
  /** The probe just before it came in. */
  beforeC: number;
  lagS: number;
  /** Share of its distance to ice that the milk loses a minute, once it cools; and when that began, from `sinceMs`. */
  coolingPerMin: number;
  coolingAfterS: number;
  /** Root mean square of what is left unexplained. */
  missC: number;
};

/** Probe lags tried; the sheaths that people clip into jars take 4–60 s for 63 % (DESIGN's population). */
const lagsS = [3, 7, 13, 21, 32, 46, 62, 80];
/** Cooling tried, a minute towards 0 °C: bench, fridge, freezer … a small jar in stirred ice (0.3 is a time constant of 200 s). */
const slowCoolings = [0, 0.004, 0.01];
const fastCoolings = [0.025, 0.05, 0.09, 0.14, 0.2, 0.28];
const coolingStartsS = [0, 25, 50, 80, 120, 170];
const coolings = [
  ...slowCoolings.map((perMin) => ({ perMin, afterS: 0 })),
  ...fastCoolings.flatMap((perMin) => coolingStartsS.map((afterS) => ({ perMin, afterS }))),
];

/** Spikes of one bin that both neighbours contradict are no part of any story. */
const spikeC = 3;

/** Returns the bins without single spikes, as seconds before the newest bin (≤ 0) and °C. */
export function smoothed(recent: Recent): { atS: number[]; tempC: number[] } {
  const newest = recent.atMs.at(-1) ?? 0;
  const tempC = recent.tempC.map((here, index) => {
    const before = recent.tempC[index - 1] ?? here;
    const after = recent.tempC[index + 1] ?? here;
    const isSpike = Math.abs(here - before) > spikeC && Math.abs(here - after) > spikeC;
    return isSpike && here > before === here > after ? (before + after) / 2 : here;
  });
  return { atS: recent.atMs.map((atMs) => (atMs - newest) / 1000), tempC };
}

/** Returns the best single jar for the bins from index `from` on; the probe read `tempC[from]` as it came in. */
export function explainAsMilk(
  bins: { atS: number[]; tempC: number[] },
  from: number,
): Omit<Stretch, 'sinceMs'> {
  const { atS, tempC } = bins;
  const startS = atS[from] ?? 0;
  const beforeC = tempC[from] ?? 0;
  const count = atS.length - from - 1;
  const best = {
    milkC: beforeC,
    beforeC,
    lagS: 0,
    coolingPerMin: 0,
    coolingAfterS: 0,
    missC: Number.POSITIVE_INFINITY,
  };
  const courses = coolings.map(({ perMin, afterS }) => courseOfMilk(atS, from, startS + afterS, perMin));
  for (const lagS of lagsS) {
    const keep = keepFactors(atS, from, lagS);
    for (const [index, course] of courses.entries()) {
      const fit = fitMilk({ tempC, from, count, beforeC, keep, course });
      if (fit.missC >= best.missC) continue;
      const cooling = coolings[index];
      Object.assign(best, fit, {
        lagS,
        coolingPerMin: cooling?.perMin ?? 0,
        coolingAfterS: cooling?.afterS ?? 0,
      });
    }
  }
  return best;
}

/** Returns the milk's course from 1 on, at each bin after `from`. */
function courseOfMilk(atS: number[], from: number, coolsFromS: number, perMin: number): Float64Array {
  const course = new Float64Array(atS.length - from);
  for (let index = 0; index < course.length; index += 1) {
    const coolingS = Math.max(0, (atS[from + index] ?? 0) - coolsFromS);
    course[index] = Math.exp((-perMin * coolingS) / 60);
  }
  return course;
}

/** Returns what share of its distance to the milk the probe keeps from bin to bin. */
function keepFactors(atS: number[], from: number, lagS: number): Float64Array {
  const keep = new Float64Array(atS.length - from);
  for (let index = 1; index < keep.length; index += 1) {
    keep[index] = Math.exp(-((atS[from + index] ?? 0) - (atS[from + index - 1] ?? 0)) / lagS);
  }
  return keep;
}

/** Least squares for the one unknown that is left, the milk's temperature at the start. */
function fitMilk(given: {
  tempC: number[];
  from: number;
  count: number;
  beforeC: number;
  keep: Float64Array;
  course: Float64Array;
}): { milkC: number; missC: number } {
  const { tempC, from, count, keep, course } = given;
  let response = 0;
  let leftC = given.beforeC;
  let dot = 0;
  let square = 0;
  let total = 0;
  for (let index = 1; index <= count; index += 1) {
    const kept = keep[index] ?? 0;
    const meanCourse = ((course[index] ?? 0) + (course[index - 1] ?? 0)) / 2;
    response = response * kept + meanCourse * (1 - kept);
    leftC *= kept;
    const target = (tempC[from + index] ?? 0) - leftC;
    dot += target * response;
    square += response * response;
    total += target * target;
  }
  if (square === 0) return { milkC: given.beforeC, missC: Number.POSITIVE_INFINITY };
  const milkC = dot / square;
  return { milkC, missC: Math.sqrt(Math.max(0, total - dot * milkC) / count) };
}
