import { z } from 'zod';
import { instantMs, placeKind } from './ids.ts';

/**
 * Three quantiles of an instant; null stands for never. p10 to p90 holds four fifths of what is believed: where
 * p90 is never, p10 is the instant before which a fifth lies.
 */
export const instantQuantiles = z.object({
  p10: instantMs.nullable(),
  p50: instantMs.nullable(),
  p90: instantMs.nullable(),
});
export type InstantQuantiles = z.infer<typeof instantQuantiles>;

/** Three quantiles of a temperature in °C. */
export const tempQuantiles = z.object({ p10: z.number(), p50: z.number(), p90: z.number() });
export type TempQuantiles = z.infer<typeof tempQuantiles>;

/** One point of a forecast path, °C. */
export const pathPoint = z.object({
  atMs: instantMs,
  p10C: z.number(),
  p50C: z.number(),
  p90C: z.number(),
});
export type PathPoint = z.infer<typeof pathPoint>;

/** The most points that a path may have. */
export const pathPointsMax = 120;

export const verdict = z.enum(['on-course', 'not-on-course', 'unsure', 'doubted']);
export type Verdict = z.infer<typeof verdict>;

/** What can be done with milk that would miss its window. */
export const rescueKind = z.enum([
  'ice-bath-stirred',
  'ice-bath',
  'cold-water',
  'cold-water-then-ice',
  'split',
  'stir',
  'fan',
]);
export type RescueKind = z.infer<typeof rescueKind>;

/** A way out of a window that would be missed: a forecast with its own quantiles and chance. */
export const rescue = z.object({
  kind: rescueKind,
  lastUsefulAtMs: instantMs.nullable(),
  chance: z.number().min(0).max(1),
  crossing: instantQuantiles,
  path: z.array(pathPoint).max(pathPointsMax),
  iceKg: z.number().nullable(),
  /** Cold water that takes up the heat of the time in it; null or left out where none is wanted or no volume was told. */
  waterL: z.number().nullable().optional(),
  /** How long it stays in cold water before it goes into the ice; left out where there is no such step. */
  waterSpanMs: z.int().optional(),
  /** Into how many vessels the milk is poured; left out where it stays in its own. */
  vessels: z.int().min(2).optional(),
  cautions: z.array(z.string()),
});
export type Rescue = z.infer<typeof rescue>;

/** What a forecast took for granted about the surroundings, and from where it has that. */
export const assumed = z.object({
  place: placeKind.nullable(),
  aroundC: z.number().nullable(),
  volumeL: z.number().nullable(),
  from: z.enum(['told', 'measured', 'inferred']),
});
export type Assumed = z.infer<typeof assumed>;

/**
 * Where a watch is going. `crossing` is at the limit as typed, `chance` at the limit less the probe's
 * uncertainty (`marginC`). `atDeadline` is null once the deadline has passed.
 */
export const forecast = z.object({
  v: z.literal(1),
  watch: z.string(),
  madeAtMs: instantMs,
  dataToMs: instantMs,
  verdict,
  chance: z.number().min(0).max(1),
  crossing: instantQuantiles,
  atDeadline: tempQuantiles.nullable(),
  path: z.array(pathPoint).max(pathPointsMax),
  rescues: z.array(rescue),
  assumed,
  marginC: z.number().nonnegative(),
});
export type Forecast = z.infer<typeof forecast>;
