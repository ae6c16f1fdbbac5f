import { z } from 'zod';
import { doubtWhy } from './event.ts';
import { forecast, instantQuantiles, pathPoint, pathPointsMax, tempQuantiles } from './forecast.ts';
import { instantMs, placeKind, plainId } from './ids.ts';
import { keepCause, keepNote, keepSide, keepWindow } from './keep.ts';

/** Where a keep stands, in the words of the page. */
export const keepState = z.enum(['keeping', 'leaving', 'left', 'silent', 'doubted', 'ended']);
export type KeepState = z.infer<typeof keepState>;

/** The most notes that a view of a keep carries, oldest first; older ones are in the record. */
export const notesMax = 12;

/** One keep, in `GET /api/watches` and as the last-value message `watch` of the live feed. */
export const keepView = z.object({
  v: z.literal(1),
  id: z.string(),
  kind: z.literal('keep'),
  probe: plainId,
  place: plainId.nullable(),
  placeKind: placeKind.nullable(),
  state: keepState,
  sinceMs: instantMs,
  window: keepWindow,
  marginC: z.number(),
  latest: z.object({ atMs: instantMs, tempC: z.number() }).nullable(),
  /** True where the probe hangs in a vessel, so that its reading is the milk's; false where it is in the air. */
  inVessel: z.boolean(),
  /** The milk now, °C: the probe's own, or what a jar would feel of the air, with its doubt. */
  milk: tempQuantiles.nullable(),
  /** What goes on now, and since when. */
  cause: keepCause,
  causeSinceMs: instantMs,
  /** What the keep leaves by, or has left by; null while it keeps. */
  side: keepSide.nullable(),
  /** When the milk left the window; null while it has not. */
  leftAtMs: instantMs.nullable(),
  /** The last 24 hours: the warmest and coldest of milk and probe, °C, and how long each was beyond the warm limit. */
  day: z.object({
    milkMostC: z.number(),
    probeMostC: z.number(),
    milkLeastC: z.number(),
    probeLeastC: z.number(),
    milkOverMs: z.int(),
    probeOverMs: z.int(),
  }),
  /** How much of the time the cooling ran in the last day, and a week before that; 0 to 1, null until known. */
  duty: z.object({ dayShare: z.number().nullable(), weekAgoShare: z.number().nullable() }),
  /** What went on lately, oldest first. */
  notes: z.array(keepNote).max(notesMax),
  silentSinceMs: instantMs.nullable(),
  /** Why and since when its probe is not believed; null or left out while it is. */
  doubt: z.object({ why: doubtWhy, sinceMs: instantMs }).nullable().optional(),
  /** As it is going: `crossing` is when it leaves, `chance` that it stays for the next hour. */
  forecast: forecast.nullable(),
  /** If the power went now, with the door kept shut; null until known, and while it is off. */
  ifPowerWent: z
    .object({ crossing: instantQuantiles, path: z.array(pathPoint).max(pathPointsMax) })
    .nullable(),
});
export type KeepView = z.infer<typeof keepView>;
