import { z } from 'zod';
import { holdAsked } from './hold.ts';
import { instantMs } from './ids.ts';

/**
 * The window of a heat: at or over `limitC` before `deadlineMs`, which is `spanMs` after its begin. `holdAfter` is
 * the hold that follows by itself.
 */
export const heatWindow = z.object({
  limitC: z.number(),
  spanMs: z.int(),
  deadlineMs: instantMs,
  /** True where the target is the boil of this house. */
  toBoil: z.boolean(),
  holdAfter: holdAsked.nullable(),
});
export type HeatWindow = z.infer<typeof heatWindow>;

/** Why a heat will not get there: it levels off, boils first, is too slow, cools, or does not warm at all. */
export const heatShort = z.enum(['levels-off', 'boils-below', 'too-slow', 'cooling', 'not-warming']);
export type HeatShort = z.infer<typeof heatShort>;
