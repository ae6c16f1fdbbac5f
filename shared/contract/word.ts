import { z } from 'zod';
import { rescueKind } from './forecast.ts';
import { holdAsked } from './hold.ts';
import { instantMs, material, plainId, watchId } from './ids.ts';

const volumeL = z.number().gt(0).max(1000);
const keepLimitC = z.number().min(-60).max(60);
/** A matter's id: what it is about, a colon, its topic. */
const matterId = z.string().regex(/^[A-Za-z0-9][A-Za-z0-9._-]{0,99}:[a-z]{1,20}$/);
const limitC = z.number().min(-5).max(30);

/** What a person can say to the house; each has one effect in the watching. */
export const word = z.discriminatedUnion('kind', [
  /** Begin a chill on this probe, whatever it shows; its milk went in now, or at `sinceMs`. */
  z.strictObject({
    kind: z.literal('chill-begin'),
    probe: plainId,
    limitC: limitC.optional(),
    spanMs: z.int().min(60_000).max(86_400_000).optional(),
    sinceMs: instantMs.optional(),
    volumeL: volumeL.optional(),
    place: plainId.optional(),
  }),
  /** Begin to keep what this probe is in, whatever it shows; by its place's window unless one is given. */
  z.strictObject({
    kind: z.literal('keep-begin'),
    probe: plainId,
    lowC: keepLimitC.nullable().optional(),
    highC: keepLimitC.nullable().optional(),
  }),
  /** Begin to heat what is on this probe, to a temperature or to the boil; the hold after it begins by itself. */
  z.strictObject({
    kind: z.literal('heat-begin'),
    probe: plainId,
    limitC: z.number().min(-5).max(110).optional(),
    toBoil: z.boolean().optional(),
    spanMs: z.int().min(60_000).max(86_400_000).optional(),
    volumeL: volumeL.optional(),
    holdAfter: holdAsked.optional(),
  }),
  /** Begin a hold on this probe, whatever it shows; its clock runs once it is warm enough. */
  z.strictObject({ kind: z.literal('hold-begin'), probe: plainId, hold: holdAsked }),
  /** Milking ended at this instant: the hour of this probe's open chill counts from it. */
  z.strictObject({
    kind: z.literal('milking-ended'),
    probe: plainId,
    atMs: instantMs,
    /** When milking began; some regions count from then. */
    beganMs: instantMs.optional(),
  }),
  /** What the house learned of its places is to be forgotten: the next chills go by what is usual. */
  z.strictObject({ kind: z.literal('prior-forget') }),
  /** A way out was taken: from now on this milk cools otherwise, and what it did before tells nothing. */
  z.strictObject({
    kind: z.literal('rescue-done'),
    probe: plainId,
    rescue: rescueKind,
    /** Into which place, where the house has several of that kind; its first one where left out. */
    place: plainId.optional(),
    /** Into how many vessels it was poured, with the probe in one of them. */
    vessels: z.int().min(2).max(24).optional(),
  }),
  /** The vessel with this probe now stands in another place. */
  z.strictObject({ kind: z.literal('moved'), probe: plainId, place: plainId }),
  /** What holds the milk on this probe. */
  z.strictObject({
    kind: z.literal('vessel-told'),
    probe: plainId,
    volumeL: volumeL.optional(),
    material: material.optional(),
  }),
  /** The watch is no longer wanted. */
  z.strictObject({ kind: z.literal('watch-end'), watch: watchId }),
  /** A person has seen what the house said of a matter: nobody is told again while it stays as it is. */
  z.strictObject({ kind: z.literal('notice-seen'), matter: matterId }),
  /** A person wants to be told again at this instant, if it then still stands. */
  z.strictObject({ kind: z.literal('notice-snoozed'), matter: matterId, untilMs: instantMs }),
]);
export type Word = z.infer<typeof word>;

/** A word as it is posted; `id` is made by the client, so that a repeated tap does nothing. */
export const postedWord = z.strictObject({
  v: z.literal(1),
  id: z.string().regex(/^[A-Za-z0-9-]{8,64}$/),
  word,
});
export type PostedWord = z.infer<typeof postedWord>;

/** The answer to a posted word. `already` is true where this id had been said before. */
export const wordAnswer = z.object({ v: z.literal(1), inputSeq: z.int(), already: z.boolean() });
export type WordAnswer = z.infer<typeof wordAnswer>;
