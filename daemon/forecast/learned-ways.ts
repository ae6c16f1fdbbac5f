/** The ways of cooling of a place where the house's own chills have a say. */
import type { Material, PlaceKind } from '../../shared/contract/ids.ts';
import type { HousePrior, Lesson } from '../../shared/contract/prior.ts';
import type { PoolMember } from './model-pool.ts';
import { anyVolumeL, type CoolingWay, coolingWays, type Told } from './place-prior.ts';

/** Where a chill stands, as far as it was told. */
export type Setup = {
  place: string;
  kind: PlaceKind | null;
  material: Material | null;
  volumeL: number | null;
};

/** Fewer own chills than this change nothing yet. */
export const lessonsLeast = 2;
/** Own chills never count for more than this, so that a wrong label or a moved freezer is found by the curve. */
const ownShareMost = 0.9;
/** How many own chills weigh as much as what is usual. */
const halfChills = 1;
/** From chill to chill of one set-up: °C of the surroundings and log of the rate. */
const betweenAroundSdC = 1.5;
const betweenLogSd = 0.12;
/** A vessel of another volume teaches less: log spread for each log of the volumes' ratio. */
const volumeLogSd = 0.25;

/** The lessons that say something of such a chill: of its place, and of its vessel's material where both are told. */
export function lessonsFor(prior: HousePrior | null, setup: Setup): Lesson[] {
  return (prior?.lessons ?? []).filter((one) => one.taken && sameSetup(one, setup));
}

/** Returns what is usual and what the house's own chills add to it, with shares that add up to 1. */
export function learnedWays(told: Told, lessons: readonly Lesson[]): CoolingWay[] {
  const usual = coolingWays(told);
  if (lessons.length < lessonsLeast) return usual;
  const ownShare = Math.min(ownShareMost, lessons.length / (lessons.length + halfChills));
  const own = lessons.map((lesson) => wayOf(lesson, told, ownShare / lessons.length));
  return [...usual.map((way) => ({ ...way, share: way.share * (1 - ownShare) })), ...own];
}

function wayOf(lesson: Lesson, told: Told, share: number): CoolingWay {
  const away = Math.log((told.volumeL ?? anyVolumeL) / (lesson.volumeL ?? anyVolumeL));
  return {
    place: lesson.kind ?? 'room',
    share,
    aroundC: told.aroundC ?? lesson.aroundC,
    aroundSdC: told.aroundC === null ? Math.hypot(betweenAroundSdC, lesson.aroundSdC) : 1.5,
    logPerMin: lesson.logPerMin - away / 3,
    logPerMinSd: Math.hypot(betweenLogSd, lesson.logPerMinSd, volumeLogSd * away),
    exponentShares: lesson.exponentShares,
  };
}

/**
 * What a house's misses come to: whether its own laws were nearer than what is usual, and by how much, in the log of
 * time, the nearer of them has to be slower.
 */
export type Learned = { by: 'usual' | 'own'; slower: number };

/** How many misses weigh as much as the belief that there is none. */
const halfMisses = 4;
/** Own laws are believed once this many of their forecasts came out. */
const missesLeast = 3;

/** Weighs the lessons of a set-up. */
export function weighMisses(lessons: readonly Lesson[]): Learned {
  const usual = shiftOf(lessons.flatMap(({ missUsual }) => missUsual ?? []));
  const own = shiftOf(lessons.flatMap(({ missOwn }) => missOwn ?? []));
  const isOwn = own.count >= missesLeast && own.strays < usual.strays;
  return isOwn ? { by: 'own', slower: own.slower } : { by: 'usual', slower: usual.slower };
}

function shiftOf(misses: readonly number[]): { count: number; slower: number; strays: number } {
  const count = misses.length;
  if (count === 0) return { count, slower: 0, strays: Number.POSITIVE_INFINITY };
  const sorted = [...misses].sort((a, b) => a - b);
  const middle = sorted[count >> 1] as number;
  const strays = misses.map((miss) => Math.abs(miss - middle)).sort((a, b) => a - b);
  return { count, slower: (middle * count) / (count + halfMisses), strays: strays[count >> 1] as number };
}

/** A pool whose milk takes longer by this much in the log of time. */
export function slowed(pool: readonly PoolMember[], slower: number): readonly PoolMember[] {
  if (slower === 0) return pool;
  const by = Math.exp(-slower);
  return pool.map((member) => ({ ...member, law: { ...member.law, perMin: member.law.perMin * by } }));
}

/** True where one place and, as far as both were told, one material. */
export function sameSetup(one: Setup, other: Setup): boolean {
  const alike = one.material === null || other.material === null || one.material === other.material;
  return one.place === other.place && alike;
}
