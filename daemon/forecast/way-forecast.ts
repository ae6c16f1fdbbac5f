/** From a way out to its forecast: chance, crossing, path and the last instant at which it still helps. */
import type { InstantQuantiles, PathPoint, Rescue } from '../../shared/contract/forecast.ts';
import { milkFreezesC } from '../../shared/dairy/milk-freezing.ts';
import { rescueSureFrom } from '../../shared/dairy/offered-rescue.ts';
import type { ChillQuestion } from './chill-forecast.ts';
import { type CoolingLaw, cooledC } from './cooling-law.ts';
import { type Course, courseC, courseMin } from './course.ts';
import { quantile } from './crossing.ts';
import { foreseeableMs } from './spread.ts';

/** A way out before it is forecast: equally likely courses, and what a person needs to know of it. */
export type Way = Pick<Rescue, 'kind' | 'iceKg' | 'waterL' | 'waterSpanMs' | 'vessels' | 'cautions'> & {
  /** From saying it to having it done. */
  handlingMin: number;
  courses: readonly Course[];
};

/** Where the milk is when a way is thought of; `asItGoes` is what it does until something is done. */
export type WayStart = { atMs: number; nowC: number; asItGoes: readonly CoolingLaw[] };

const pathSteps = 16;
const pathPastMs = 30 * 60_000;
/** About as many courses as a path is drawn from: more would not show. */
const pathCoursesMost = 28;
/** The slow edge of the milk while nothing is done: nine in ten are colder. */
const slowEdge = 0.9;
/** What each end of the 80 % interval leaves out. */
const outside = 0.1;

/** Forecasts one way from `start`; its chance is at the limit less the margin, its crossing at the limit. */
export function forecastWay(way: Way, start: WayStart, question: ChillQuestion): Rescue {
  const { courses, handlingMin, ...told } = way;
  const doneMs = start.atMs + handlingMin * 60_000;
  const crossing = crossingOf(courses, start.nowC, { toC: question.limitC, fromMs: doneMs });
  return {
    ...told,
    lastUsefulAtMs: lastUsefulMs(way, start, question),
    chance: chanceOf(courses, start.nowC, { question, fromMs: doneMs }),
    crossing,
    path: pathOf(courses, start, { doneMs, crossing, deadlineMs: question.deadlineMs }),
  };
}

/** The share of courses from `fromC` at `fromMs` that are surely under the limit by the deadline. */
function chanceOf(
  courses: readonly Course[],
  fromC: number,
  { fromMs, question }: { fromMs: number; question: ChillQuestion },
): number {
  const toC = question.limitC - question.marginC;
  const spanMin = (question.deadlineMs - fromMs) / 60_000;
  if (spanMin <= 0 || courses.length === 0) return 0;
  let made = 0;
  for (const course of courses) if (courseC(course, fromC, spanMin) <= toC) made++;
  return made / courses.length;
}

function crossingOf(
  courses: readonly Course[],
  fromC: number,
  { fromMs, toC }: { fromMs: number; toC: number },
): InstantQuantiles {
  const minutes = Float64Array.from(courses, (course) => courseMin(course, fromC, toC)).sort();
  const at = (share: number) => {
    const spanMs = quantile(minutes, share) * 60_000;
    return spanMs <= foreseeableMs ? Math.round(fromMs + spanMs) : null;
  };
  const late = at(1 - outside);
  return { p10: at(late === null ? 2 * outside : outside), p50: at(0.5), p90: late };
}

/**
 * The last whole minute at which this way would still make it with the chance that an offer needs, the milk
 * until then on the slow edge of where it is going; null where even now it would not.
 */
function lastUsefulMs(way: Way, { asItGoes, atMs, nowC }: WayStart, question: ChillQuestion): number | null {
  const wouldMake = (waitMin: number): boolean => {
    const sorted = Float64Array.from(asItGoes, (law) => cooledC(law, nowC, waitMin)).sort();
    const tempC = sorted.length === 0 ? nowC : Math.min(nowC, quantile(sorted, slowEdge));
    const fromMs = atMs + (waitMin + way.handlingMin) * 60_000;
    return chanceOf(way.courses, tempC, { question, fromMs }) >= rescueSureFrom;
  };
  if (atMs >= question.deadlineMs || !wouldMake(0)) return null;
  let useful = 0;
  let late = Math.ceil((question.deadlineMs - atMs) / 60_000);
  while (late - useful > 1) {
    const middle = (useful + late) >> 1;
    if (wouldMake(middle)) useful = middle;
    else late = middle;
  }
  return Math.floor(atMs / 60_000 + useful) * 60_000;
}

/** A path from now over the moment it is done to half an hour past deadline or median crossing. */
function pathOf(
  courses: readonly Course[],
  { atMs, nowC }: WayStart,
  to: { doneMs: number; crossing: InstantQuantiles; deadlineMs: number },
): PathPoint[] {
  const farMs = Math.max(to.deadlineMs, to.crossing.p50 ?? to.doneMs, to.doneMs) - to.doneMs;
  const spanMs = Math.min(foreseeableMs, farMs + pathPastMs);
  const every = Math.max(1, Math.round(courses.length / pathCoursesMost));
  const drawn = courses.filter((_, place) => place % every === 0);
  const temps = new Float64Array(drawn.length);
  const path: PathPoint[] = [pointAt(atMs, nowC, nowC, nowC)];
  for (let step = 0; step <= pathSteps && drawn.length > 0; step++) {
    const aheadMs = Math.round(spanMs * (step / pathSteps) ** 1.5);
    for (const [place, course] of drawn.entries()) {
      temps[place] = Math.max(milkFreezesC, courseC(course, nowC, aheadMs / 60_000));
    }
    temps.sort();
    path.push(pointAt(to.doneMs + aheadMs, quantile(temps, 0.1), quantile(temps, 0.5), quantile(temps, 0.9)));
  }
  return path;
}

/** A point in whole m°C: it is a picture, and is kept with its watch. */
function pointAt(atMs: number, p10C: number, p50C: number, p90C: number): PathPoint {
  const milli = (tempC: number) => Math.round(tempC * 1000) / 1000;
  return { atMs, p10C: milli(p10C), p50C: milli(p50C), p90C: milli(p90C) };
}
