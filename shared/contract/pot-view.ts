import { z } from 'zod';
import { doubtWhy } from './event.ts';
import { forecast, instantQuantiles, tempQuantiles } from './forecast.ts';
import { heatShort, heatWindow } from './heat.ts';
import { holdBreak, holdProof, holdWindow } from './hold.ts';
import { instantMs, plainId } from './ids.ts';

/** Where a heat stands, in the words of the page. */
export const heatState = z.enum([
  'too-early',
  'on-course',
  'heat-off',
  'not-on-course',
  'reached',
  'over',
  'missed',
  'silent',
  'doubted',
  'ended',
]);
export type HeatState = z.infer<typeof heatState>;

/** One heat, in `GET /api/watches` and as the last-value message `watch` of the live feed. */
export const heatView = z.object({
  v: z.literal(1),
  id: z.string(),
  kind: z.literal('heat'),
  probe: plainId,
  state: heatState,
  sinceMs: instantMs,
  window: heatWindow,
  marginC: z.number(),
  latest: z.object({ atMs: instantMs, tempC: z.number() }).nullable(),
  rateCPerMin: z.number().nullable(),
  /** Why it will not get there; null while it will. */
  short: heatShort.nullable(),
  /** Where it levels off as it is going, °C; null until known. */
  level: tempQuantiles.nullable(),
  /** When it would get there under a lid; null where that would not help. */
  withLid: instantQuantiles.nullable(),
  boilsC: z.number(),
  /** How far it climbs once the burner is off, °C; null until known. */
  coast: tempQuantiles.nullable(),
  /** When the burner wants to be off; null until near. */
  offAtMs: instantMs.nullable(),
  /** When the burner was last found turned; null where never. */
  turnedAtMs: instantMs.nullable(),
  /** True while it climbs fast enough for the bottom to scorch. */
  stir: z.boolean(),
  crossedAtMs: instantMs.nullable(),
  mostC: z.number().nullable(),
  silentSinceMs: instantMs.nullable(),
  /** Why and since when its probe is not believed; null or left out while it is. */
  doubt: z.object({ why: doubtWhy, sinceMs: instantMs }).nullable().optional(),
  forecast: forecast.nullable(),
});
export type HeatView = z.infer<typeof heatView>;

/** Where a hold stands, in the words of the page. */
export const holdState = z.enum([
  'waiting',
  'holding',
  'drifting',
  'begun-again',
  'proved',
  'cooled',
  'silent',
  'doubted',
  'ended',
]);
export type HoldState = z.infer<typeof holdState>;

/** One hold, in `GET /api/watches` and as the last-value message `watch` of the live feed. */
export const holdView = z.object({
  v: z.literal(1),
  id: z.string(),
  kind: z.literal('hold'),
  probe: plainId,
  state: holdState,
  sinceMs: instantMs,
  window: holdWindow,
  marginC: z.number(),
  latest: z.object({ atMs: instantMs, tempC: z.number() }).nullable(),
  rateCPerMin: z.number().nullable(),
  /** Since when it holds without a break; null while it does not. */
  heldSinceMs: instantMs.nullable(),
  provedMs: z.int(),
  /** When it will be proved as it is going; null while it does not hold. */
  provesAtMs: instantMs.nullable(),
  /** The least and most since it holds, °C. */
  leastC: z.number().nullable(),
  mostC: z.number().nullable(),
  /** The least of the air over the milk since it holds, °C; null where no probe measured it. */
  airLeastC: z.number().nullable(),
  lastBreak: z.object({ why: holdBreak, atMs: instantMs, provedMs: z.int() }).nullable(),
  proof: holdProof.nullable(),
  cooledAtMs: instantMs.nullable(),
  silentSinceMs: instantMs.nullable(),
  /** Why and since when its probe is not believed; null or left out while it is. */
  doubt: z.object({ why: doubtWhy, sinceMs: instantMs }).nullable().optional(),
  forecast: forecast.nullable(),
  /** When it leaves its window as it is going. */
  leaves: instantQuantiles.nullable(),
});
export type HoldView = z.infer<typeof holdView>;
