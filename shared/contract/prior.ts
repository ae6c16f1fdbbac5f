import { z } from 'zod';
import { instantMs, material, placeKind, plainId } from './ids.ts';

/** What one stretch of cooling taught: where it stood, and the law that it followed as a whole. */
export const lesson = z.object({
  /** Of the watch, and of the way out that began it where there was one. */
  id: z.string(),
  place: plainId,
  kind: placeKind.nullable(),
  material: material.nullable(),
  volumeL: z.number().nullable(),
  aroundC: z.number(),
  aroundSdC: z.number(),
  /** Log of the relative rate of fall at 25 K above the surroundings, 1/min. */
  logPerMin: z.number(),
  logPerMinSd: z.number(),
  /** Belief in each of the forecast's exponents, in their order. */
  exponentShares: z.array(z.number()).max(8),
  /**
   * Logs of the time that it had left at minute 15 over what was said then, within ±1: by what is usual, and by the
   * house's lessons before it. Null where it was over by then, or where there were too few lessons.
   */
  missUsual: z.number().nullable(),
  missOwn: z.number().nullable(),
  endedMs: instantMs,
  spanMs: z.int(),
  /** Whether it got to its limit; what ended before counts all the same. */
  crossed: z.boolean(),
  /** False where it lay so far from anything usual of such a place that nothing is learned from it. */
  taken: z.boolean(),
});
export type Lesson = z.infer<typeof lesson>;

/** All that a house has learned of its places, oldest first. */
export const housePrior = z.object({ v: z.literal(1), lessons: z.array(lesson).max(80) });
export type HousePrior = z.infer<typeof housePrior>;
