/** What a house's own chills teach of its places: a few laws a place, each one chill's, beside what is usual. */
import type { HousePrior, Lesson } from '../../shared/contract/prior.ts';
import { forecastChill } from './chill-forecast.ts';
import type { ChillTrace } from './chill-trace.ts';
import { type ChillView, viewChill } from './chill-view.ts';
import { exponents } from './cooling-law.ts';
import { drawLaws, middleMin } from './crossing.ts';
import { learnedWays, lessonsLeast, type Setup, sameSetup } from './learned-ways.ts';
import type { PoolMember } from './model-pool.ts';
import { type CoolingWay, coolingWays, type Told } from './place-prior.ts';

/** A stretch of milk that cooled undisturbed for less than this teaches nothing. */
export const lessonLeastMs = 8 * 60_000;
/** Lessons of one set-up that count; of more the oldest are let go. */
export const lessonsPerSetupMax = 16;
/** Lessons of a house; of more the oldest are let go. */
export const lessonsMax = 80;
/** A fit this many spreads from anything usual of such a place is taken for a wrong label or a probe elsewhere. */
const outsideSpreads = 3.5;

/** A regime that is over: its trace, since when, until when, and when it got to its limit. */
export type Regime = {
  trace: ChillTrace;
  sinceMs: number;
  toMs: number;
  aroundC: number | null;
  limitC: number;
  deadlineMs: number;
  /** When it got to its limit; null where it ended before. */
  crossedMs: number | null;
};

/**
 * Fits a regime as a whole; null where it is shorter than 8 min or no law fits. One that ended early, as by a way
 * out, has its wider spread, and counts all the same. `before` are the lessons that its watch went by.
 */
export function lessonOf(
  id: string,
  setup: Setup,
  { regime, before }: { regime: Regime; before: readonly Lesson[] },
): Lesson | null {
  const { trace, sinceMs, toMs, aroundC } = regime;
  if (toMs - sinceMs < lessonLeastMs) return null;
  const told: Told = { place: setup.kind, aroundC, volumeL: setup.volumeL, material: setup.material };
  // What is usual is left wide: a place that is unlike others is what there is to learn.
  const view = viewChill(trace, { sinceMs, told, ways: widened(coolingWays(told)) }, toMs);
  if (view === null || view.pool.length === 0 || view.dataToMs - sinceMs < lessonLeastMs) return null;
  const whole = view.pool.filter(({ window }) => window === 0);
  const law = meanLaw(whole.length > 0 ? whole : view.pool);
  return {
    id,
    ...setup,
    ...law,
    ...missesOf(view, { regime, before, told }),
    endedMs: Math.round(toMs),
    spanMs: Math.round(view.dataToMs - sinceMs),
    crossed: regime.crossedMs !== null,
    taken: isUsual(law, coolingWays({ ...told, aroundC: null })),
  };
}

/** When a forecast is held against how it came out: early enough to be of use. */
const heldAtMs = 15 * 60_000;
/** What is left of less than this says nothing, minutes. */
const leftLeastMin = 0.5;
const missMost = 1;

/** Where it never got to its limit, as after a way out, its whole curve says when it would have. */
function missesOf(
  view: ChillView,
  { regime, before, told }: { regime: Regime; before: readonly Lesson[]; told: Told },
): Pick<Lesson, 'missUsual' | 'missOwn'> {
  const { trace, sinceMs, limitC, deadlineMs } = regime;
  const atMs = sinceMs + heldAtMs;
  if (view.dataToMs < atMs + leftLeastMin * 60_000) return { missUsual: null, missOwn: null };
  const endMs =
    regime.crossedMs ?? view.dataToMs + 60_000 * middleMin(drawLaws(view.pool), view.curve.nowC, limitC);
  const leftMin = Math.min(foreseenMin, (endMs - atMs) / 60_000);
  const question = { limitC, marginC: 0, deadlineMs, sinceMs, told };
  const usualMs = forecastChill(trace, question, atMs)?.crossing.p50;
  const own =
    before.length < lessonsLeast
      ? null
      : viewChill(trace, { sinceMs, told, ways: learnedWays(told, before) }, atMs);
  return {
    missUsual:
      usualMs === undefined
        ? null
        : missOf(leftMin, usualMs === null ? foreseenMin : (usualMs - atMs) / 60_000),
    missOwn:
      own === null || own.pool.length === 0
        ? null
        : missOf(leftMin, middleMin(drawLaws(own.pool), own.curve.nowC, limitC)),
  };
}

function missOf(leftMin: number, saidMin: number): number {
  const said = Math.max(leftLeastMin, Math.min(foreseenMin, saidMin));
  return Math.max(-missMost, Math.min(missMost, Math.log(Math.max(leftLeastMin, leftMin) / said)));
}

/** Beyond this a crossing is as good as never, minutes. */
const foreseenMin = 225;

/** Takes a lesson into a prior; the oldest of its set-up, and of the house, make room. */
export function learn(prior: HousePrior | null, lesson: Lesson): HousePrior {
  const lessons = [...(prior?.lessons ?? []).filter(({ id }) => id !== lesson.id), lesson];
  const own = lessons.filter((one) => sameSetup(one, lesson));
  const leaves = own.length > lessonsPerSetupMax ? own[0] : lessons.length > lessonsMax ? lessons[0] : null;
  return { v: 1, lessons: lessons.filter((one) => one !== leaves) };
}

function widened(ways: readonly CoolingWay[]): CoolingWay[] {
  return ways.map((way) => ({
    ...way,
    aroundSdC: 1.5 * way.aroundSdC,
    logPerMinSd: 2 * way.logPerMinSd,
  }));
}

type LessonLaw = Pick<Lesson, 'aroundC' | 'aroundSdC' | 'logPerMin' | 'logPerMinSd' | 'exponentShares'>;

function meanLaw(pool: readonly PoolMember[]): LessonLaw {
  const total = pool.reduce((sum, { weight }) => sum + weight, 0);
  const mean = (of: (member: PoolMember) => number) =>
    pool.reduce((sum, member) => sum + member.weight * of(member), 0) / total;
  const aroundC = mean(({ law }) => law.aroundC);
  const logPerMin = mean(({ law }) => Math.log(law.perMin));
  return {
    aroundC,
    aroundSdC: Math.sqrt(Math.max(0, mean(({ law }) => law.aroundC ** 2) - aroundC ** 2)),
    logPerMin,
    logPerMinSd: Math.sqrt(Math.max(0, mean(({ law }) => Math.log(law.perMin) ** 2) - logPerMin ** 2)),
    exponentShares: exponents.map((n) => mean(({ law }) => (law.n === n ? 1 : 0))),
  };
}

function isUsual({ aroundC, logPerMin }: LessonLaw, ways: readonly CoolingWay[]): boolean {
  return ways.some(
    (way) =>
      Math.abs(aroundC - way.aroundC) <= outsideSpreads * way.aroundSdC &&
      Math.abs(logPerMin - way.logPerMin) <= outsideSpreads * way.logPerMinSd,
  );
}
