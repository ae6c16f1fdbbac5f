/** From a way out to its forecast: chance, crossing, path and the last instant at which it still helps. */
import type { InstantQuantiles, PathPoint, Rescue } from '../../shared/contract/forecast.ts';
import { milkFreezesC } from '../../shared/dairy/milk-freezing.ts';
import { rescueSureFrom } from '../../shared/dairy/offered-rescue.ts';
import type { ChillQuestion } from './chill-forecast.ts';
import { type CoolingLaw, cooledC } from './cooling-law.ts';
import { logOdds } from './correction-features.ts';
import { type Course, courseC, courseMin } from './course.ts';
import { quantile } from './crossing.ts';
import { foreseeableMs } from './spread.ts';

/** A way out before it is forecast: equally likely courses, and what a person needs to know of it. */
export type Way = Pick<Rescue, 'kind' | 'iceKg' | 'waterL' | 'waterSpanMs' | 'vessels' | 'cautions'> & {
  /** From saying it to having it done. */
  handlingMin: number;
  courses: readonly Course[];
  /**
   * Added to the log-odds of each share of courses: what the forecast of the milk as it goes corrects itself by, a
   * way that goes on from there is corrected by, too. 0 where it does not.
   */
  lean: number;
};

/** Where the milk is when a way is thought of; `asItGoes` is what it does until something is done. */
export type WayStart = { atMs: number; nowC: number; asItGoes: readonly CoolingLaw[] };

const pathSteps = 16;
const pathPastMs = 30 * 60_000;
/** About as many courses as a path is drawn from: more would not show. */
const pathCoursesMost = 28;
/** The last instant is reckoned for hands that take this much longer than usual. */
const slowHands = 1.4;
/** The slow edge of the milk while nothing is done: nine in ten are colder. */
const slowEdge = 0.9;
/** What each end of the 80 % interval leaves out. */
const outside = 0.1;

/** Forecasts one way from `start`; its chance is at the limit less the margin, its crossing at the limit. */
export function forecastWay(way: Way, start: WayStart, question: ChillQuestion): Rescue {
  const { courses: _, handlingMin, lean: __, ...told } = way;
  const doneMs = start.atMs + handlingMin * 60_000;
  const crossing = crossingOf(way, start.nowC, { toC: question.limitC, fromMs: doneMs });
  return {
    ...told,
    lastUsefulAtMs: lastUsefulMs(way, start, question),
    chance: chanceOf(way, start.nowC, { question, fromMs: doneMs }),
    crossing,
    path: pathOf(way, start, { doneMs, crossing, deadlineMs: question.deadlineMs }),
  };
}

/** The share of courses from `fromC` at `fromMs` that are surely under the limit by the deadline. */
function chanceOf(
  { courses, lean }: Way,
  fromC: number,
  { fromMs, question }: { fromMs: number; question: ChillQuestion },
): number {
  const toC = question.limitC - question.marginC;
  const spanMin = (question.deadlineMs - fromMs) / 60_000;
  if (spanMin <= 0 || courses.length === 0) return 0;
  let made = 0;
  for (const course of courses) if (courseC(course, fromC, spanMin) <= toC) made++;
  return leaning(made / courses.length, lean);
}

/** A share of courses with `lean` added to its log-odds. */
function leaning(share: number, lean: number): number {
  return lean === 0 ? share : 1 / (1 + Math.exp(-(logOdds(share) + lean)));
}

function crossingOf(
  { courses, lean }: Way,
  fromC: number,
  { fromMs, toC }: { fromMs: number; toC: number },
): InstantQuantiles {
  const minutes = Float64Array.from(courses, (course) => courseMin(course, fromC, toC)).sort();
  const at = (share: number) => {
    const spanMs = quantile(minutes, leaning(share, -lean)) * 60_000;
    return spanMs <= foreseeableMs ? Math.round(fromMs + spanMs) : null;
  };
  const late = at(1 - outside);
  return { p10: at(late === null ? 2 * outside : outside), p50: at(0.5), p90: late };
}

/**
 * The last whole minute at which this way would still make it with the chance that an offer needs, the milk
 * until then on the slow edge of where it is going and the hands slow; null where even now it would not.
 */
function lastUsefulMs(way: Way, { asItGoes, atMs, nowC }: WayStart, question: ChillQuestion): number | null {
  const wouldMake = (waitMin: number): boolean => {
    const sorted = Float64Array.from(asItGoes, (law) => cooledC(law, nowC, waitMin)).sort();
    const tempC = sorted.length === 0 ? nowC : Math.min(nowC, quantile(sorted, slowEdge));
    const fromMs = atMs + (waitMin + slowHands * way.handlingMin) * 60_000;
    return chanceOf(way, tempC, { question, fromMs }) >= rescueSureFrom;
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
  { courses, lean }: Way,
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
    const at = (share: number) => quantile(temps, leaning(share, -lean));
    path.push(pointAt(to.doneMs + aheadMs, at(0.1), at(0.5), at(0.9)));
  }
  return path;
}

/** A point in whole m°C: it is a picture, and is kept with its watch. */
function pointAt(atMs: number, p10C: number, p50C: number, p90C: number): PathPoint {
  const milli = (tempC: number) => Math.round(tempC * 1000) / 1000;
  return { atMs, p10C: milli(p10C), p50C: milli(p50C), p90C: milli(p90C) };
}
