import { z } from 'zod';
import { instantMs } from './ids.ts';

/** The batch pairs that a hold can be; each is held to its own rule, in its own unit. */
export const batchPair = z.enum(['us-145f-30min', 'eu-63c-30min']);
export type BatchPair = z.infer<typeof batchPair>;

/** What is in the pot, as far as a batch pair asks for it. */
export const holdProduct = z.strictObject({
  fatPercent: z.number().min(0).max(90).optional(),
  solidsPercent: z.number().min(0).max(90).optional(),
  sweetened: z.boolean().optional(),
  eggnog: z.boolean().optional(),
});
export type HoldProduct = z.infer<typeof holdProduct>;

/**
 * The window of a hold: at or above `lowC`, and at or under `highC` where that is given, for `holdMs` without a
 * break. `coolToC` is how far down it is followed afterwards.
 */
export const holdWindow = z.object({
  lowC: z.number(),
  highC: z.number().nullable(),
  holdMs: z.int(),
  pair: batchPair.nullable(),
  /** How warm the air over the milk must be meanwhile, °C; null where nothing is asked of it. */
  airLowC: z.number().nullable(),
  coolToC: z.number().nullable(),
});
export type HoldWindow = z.infer<typeof holdWindow>;

/** A hold as a person asks for it. Without `limitC` it takes its pair's, or the target of the heat before. */
export const holdAsked = z.strictObject({
  holdMs: z
    .int()
    .min(1)
    .max(7 * 86_400_000),
  limitC: z.number().min(-5).max(110).optional(),
  highC: z.number().min(-5).max(115).optional(),
  pair: batchPair.optional(),
  product: holdProduct.optional(),
  coolToC: z.number().min(-5).max(100).optional(),
});
export type HoldAsked = z.infer<typeof holdAsked>;

/** Why a hold began again. */
export const holdBreak = z.enum(['under', 'over', 'gap', 'restart', 'late-reading', 'air', 'doubted']);
export type HoldBreak = z.infer<typeof holdBreak>;

/** A hold that was proved: from when to when, and how far it stayed above its limit. */
export const holdProof = z.object({
  fromMs: instantMs,
  toMs: instantMs,
  leastC: z.number(),
  mostC: z.number(),
  /** The least of the air over the milk, °C; null where no probe measured it. */
  airLeastC: z.number().nullable(),
  /** Minutes at `refC` that the whole heating is worth, by z of `zC`: advice that passes nothing. */
  worth: z.object({ minutes: z.number(), refC: z.number(), zC: z.number() }),
});
export type HoldProof = z.infer<typeof holdProof>;
