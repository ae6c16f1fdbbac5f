/** What a forecast sees when it is asked: the curve, the surroundings and the fitted pool. */
import type { Lesson } from '../../shared/contract/prior.ts';
import { type ChillCurve, chillCurve } from './chill-curve.ts';
import { type ChillTrace, lastReadingMs, type TracePoint, tracePoints } from './chill-trace.ts';
import { type Learned, learnedWays, weighMisses } from './learned-ways.ts';
import { fitPool, type PoolMember } from './model-pool.ts';
import { type CoolingWay, coolingWays, type Told } from './place-prior.ts';

/** A fitted chill; `told.aroundC` is the measured one where the surroundings were measured. */
export type ChillView = {
  dataToMs: number;
  raw: TracePoint[];
  curve: ChillCurve;
  pool: PoolMember[];
  told: Told;
  measuredC: number | null;
  /**
   * What the house's own chills say of it. Where their laws are in the pool the network is not asked: it was taught
   * without any.
   */
  learned: Learned;
};

const measuredSpanMs = 20 * 60_000;

/** A chill's readings as a curve that nothing has been fitted to yet. */
export type ChillSight = Pick<ChillView, 'dataToMs' | 'raw' | 'curve'>;

/** Draws the curve of the readings from `sinceMs` to `atMs`; null while there are too few. */
export function sightChill(
  trace: ChillTrace,
  { sinceMs }: { sinceMs: number },
  atMs: number,
): ChillSight | null {
  const dataToMs = lastReadingMs(trace, atMs);
  if (dataToMs === null || dataToMs < sinceMs) return null;
  const raw = tracePoints(trace, { fromMs: sinceMs, toMs: atMs, sinceMs });
  const curve = chillCurve(raw, (dataToMs - sinceMs) / 60_000);
  return curve === null ? null : { dataToMs, raw, curve };
}

/** What is asked of a view: since when, what was told, what the house taught, or ways in place of all that is usual. */
export type ViewQuestion = {
  sinceMs: number;
  told: Told;
  lessons?: readonly Lesson[];
  ways?: readonly CoolingWay[];
};

/** Fits the readings from `sinceMs` to `atMs`; null while there are too few. */
export function viewChill(trace: ChillTrace, question: ViewQuestion, atMs: number): ChillView | null {
  const { sinceMs } = question;
  const sight = sightChill(trace, question, atMs);
  if (sight === null) return null;
  const { curve } = sight;
  const measuredC = measuredAround(trace, sinceMs, atMs);
  const told = { ...question.told, aroundC: measuredC ?? question.told.aroundC };
  const { lessons = [], ways } = question;
  const learned = ways === undefined ? weighMisses(lessons) : usualAlone;
  const own = learned.by === 'own' ? learnedWays(told, lessons) : coolingWays(told);
  return { ...sight, pool: fitPool(curve, ways ?? own), told, measuredC, learned };
}

const usualAlone: Learned = { by: 'usual', slower: 0 };

function measuredAround(trace: ChillTrace, sinceMs: number, atMs: number): number | null {
  const fromMs = Math.max(sinceMs, atMs - measuredSpanMs);
  const points = tracePoints(trace, { fromMs, toMs: atMs, sinceMs, around: true });
  if (points.length === 0) return null;
  return points.reduce((sum, { tempC }) => sum + tempC, 0) / points.length;
}
