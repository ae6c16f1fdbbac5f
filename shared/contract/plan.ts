import { z } from 'zod';
import { material } from './ids.ts';

/** Milk as it goes in, °C, a little under the animal's: common practice, no source. */
export const plannedFromC = 36;

/** `GET /api/plan`: how long this milk would take in each place of the house, the likeliest to make its rule first. */
export const planView = z.object({
  v: z.literal(1),
  asked: z.object({
    volumeL: z.number(),
    material: material.nullable(),
    fromC: z.number(),
    limitC: z.number(),
    marginC: z.number(),
    spanMin: z.number(),
  }),
  ways: z.array(
    z.object({
      /** The id of a place of the house. */
      place: z.string(),
      /** In an ice bath that is reckoned from what is usual, whether somebody stirs; null elsewhere. */
      stirred: z.boolean().nullable(),
      /** From how many of the house's own chills it is reckoned; 0 is from what is usual of such places. */
      chills: z.int(),
      /** Minutes to the limit as typed; null is never within 12 h. */
      minutes: z.object({
        p10: z.number().nullable(),
        p50: z.number().nullable(),
        p90: z.number().nullable(),
      }),
      /** That it is surely under the limit in time. */
      chance: z.number(),
    }),
  ),
});
export type PlanView = z.infer<typeof planView>;
