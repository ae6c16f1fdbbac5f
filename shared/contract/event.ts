import { z } from 'zod';
import { instantQuantiles, rescue, rescueKind, tempQuantiles, verdict } from './forecast.ts';
import { heatShort, heatWindow } from './heat.ts';
import { holdBreak, holdProof, holdWindow } from './hold.ts';
import { instantMs, material, placeKind, plainId, watchId } from './ids.ts';
import { excursionRule, keepCause, keepNote, keepSide, keepWindow } from './keep.ts';
import { housePrior, lesson } from './prior.ts';
import { word } from './word.ts';

/** How much a notice matters: something to know, something to act on, something to wake for. */
export const weight = z.enum(['tell', 'warn', 'alarm']);
export type Weight = z.infer<typeof weight>;

/** The window of a chill: at or under `limitC` before `deadlineMs`, which is `spanMs` after `originMs`. */
export const chillWindow = z.object({
  limitC: z.number(),
  spanMs: z.int(),
  originMs: instantMs,
  origin: z.enum(['milking', 'insertion', 'word', 'first-reading']),
  deadlineMs: instantMs,
  /** Since when the daemon has run without knowing the time, though the milk was in before; absent where it knows. */
  clockUnsureFromMs: instantMs.optional(),
});
export type ChillWindow = z.infer<typeof chillWindow>;

/** A window that a region's rule sets around a chill: at or under `limitC` before `deadlineMs`. */
export const outerWindow = z.object({
  /** The rule's name in the house file. */
  rule: z.string(),
  limitC: z.number(),
  deadlineMs: instantMs,
  from: z.enum(['milking-start', 'milking-end']),
});
export type OuterWindow = z.infer<typeof outerWindow>;

/**
 * Why a probe is doubted: its wire is open or shorted, it shows what it shows after power-up, it jumps as no milk
 * does, it shows one value while what it hangs in must move, it lies on the hot bottom of its pot, it is out of the milk.
 */
export const doubtWhy = z.enum([
  'open-or-shorted',
  'power-on',
  'wandering',
  'stuck',
  'touching-bottom',
  'out-of-milk',
]);
export type DoubtWhy = z.infer<typeof doubtWhy>;

const bodies = {
  'house-made': z.object({ house: z.string(), name: z.string() }),
  'house-started': z.object({
    release: z.string(),
    clockKnown: z.boolean(),
    /** Until when the run before this one is known to have been alive; null on the first run. */
    aliveUntilMs: instantMs.nullable(),
    clean: z.boolean(),
  }),
  'house-stopped': z.object({}),
  'clock-stepped': z.object({ deltaMs: z.int(), known: z.boolean() }),
  'word-said': z.object({ wordId: z.string(), word }),
  'sitting-opened': z.object({
    probe: plainId,
    place: plainId.nullable(),
    placeKind: placeKind.nullable(),
    volumeL: z.number().nullable(),
    material: material.nullable(),
    sinceMs: instantMs,
  }),
  'sitting-ended': z.object({ probe: plainId, reason: z.enum(['taken-out', 'moved', 'word']) }),
  'watch-opened': z.object({
    watch: watchId,
    probe: plainId,
    window: z.union([chillWindow, heatWindow, holdWindow, keepWindow]),
    sinceMs: instantMs,
    marginC: z.number(),
    seed: z.string(),
    /** The id of the event whose learned prior this watch goes by to its end; absent where it goes by none. */
    prior: z.string().optional(),
  }),
  'watch-turned': z.object({
    watch: watchId,
    from: verdict,
    to: verdict,
    chance: z.number(),
    crossing: instantQuantiles,
  }),
  'watch-ended': z.object({
    watch: watchId,
    reason: z.enum([
      'taken-out',
      'moved',
      'word',
      'cold-enough',
      'too-long',
      'doubted',
      'new-milk',
      'reached',
      'held',
    ]),
    /** Whether the window was met beyond the probe's uncertainty; null where its time was not yet up. */
    met: z.boolean().nullable(),
    crossedAtMs: instantMs.nullable(),
  }),
  /** What a stretch of cooling taught, and all that the house has learned with it; nobody is told. */
  'prior-learned': z.object({ watch: watchId, lesson, prior: housePrior }),
  /** A person said that the house is to forget what it learned. */
  'prior-forgotten': z.object({ lessons: z.int() }),
  /** A way out was taken, with what had been said of it; null where it had not been told. */
  'rescue-taken': z.object({
    watch: watchId,
    rescue: rescueKind,
    chance: z.number().nullable(),
    crossing: instantQuantiles.nullable(),
    lastUsefulAtMs: instantMs.nullable(),
    vessels: z.int().nullable(),
  }),
  'window-moved': z.object({ watch: watchId, window: chillWindow }),
  'chill-will-miss': z.object({
    weight,
    watch: watchId,
    window: chillWindow,
    chance: z.number(),
    crossing: instantQuantiles,
    atDeadline: tempQuantiles.nullable(),
    /** The way out that is offered; null where none could help. */
    rescue: rescue.omit({ path: true }).nullable(),
  }),
  'chill-made': z.object({
    weight,
    watch: watchId,
    window: chillWindow,
    crossedAtMs: instantMs,
    tempC: z.number(),
    marginC: z.number(),
  }),
  'chill-missed': z.object({
    weight,
    watch: watchId,
    window: chillWindow,
    tempC: z.number().nullable(),
    marginC: z.number(),
  }),
  'chill-late': z.object({ weight, watch: watchId, window: chillWindow, crossedAtMs: instantMs }),
  /** Milk that missed its hour will miss what the region's rule asks, too, as it is going. */
  'outer-will-miss': z.object({
    weight,
    watch: watchId,
    window: outerWindow,
    chance: z.number(),
    crossing: instantQuantiles,
    rescue: rescue.omit({ path: true }).nullable(),
  }),
  'outer-missed': z.object({
    weight,
    watch: watchId,
    window: outerWindow,
    tempC: z.number().nullable(),
    marginC: z.number(),
  }),
  /** After a warning that it would not, the milk is in what the region's rule asks. */
  'outer-made': z.object({ weight, watch: watchId, window: outerWindow, crossedAtMs: instantMs }),
  'freeze-near': z.object({
    weight,
    watch: watchId,
    nearMs: instantMs,
    tempC: z.number(),
    freezesC: z.number(),
  }),
  /** A heat is nearly at its target. */
  'heat-near': z.object({
    weight,
    watch: watchId,
    window: heatWindow,
    crossing: instantQuantiles,
    tempC: z.number(),
  }),
  /** Off now, and what pan and coil still hold takes the pot to its target: `coast` is where it ends. */
  'heat-off-now': z.object({
    weight,
    watch: watchId,
    window: heatWindow,
    tempC: z.number(),
    coast: tempQuantiles,
  }),
  /** A heat will not get to its target as it is going: why, where it levels off, and whether a lid would do. */
  'heat-will-not-reach': z.object({
    weight,
    watch: watchId,
    window: heatWindow,
    short: heatShort,
    chance: z.number(),
    crossing: instantQuantiles,
    level: tempQuantiles,
    withLid: instantQuantiles.nullable(),
    boilsC: z.number(),
  }),
  /** At its target; `sure` where that is beyond the probe's margin. */
  'heat-reached': z.object({
    weight,
    watch: watchId,
    window: heatWindow,
    crossedAtMs: instantMs,
    tempC: z.number(),
    marginC: z.number(),
    sure: z.boolean(),
  }),
  'heat-over': z.object({ weight, watch: watchId, window: heatWindow, tempC: z.number() }),
  'heat-missed': z.object({ weight, watch: watchId, window: heatWindow, tempC: z.number().nullable() }),
  /** It climbs so fast that its bottom may scorch. */
  'heat-stir': z.object({ weight, watch: watchId, tempC: z.number(), rateCPerMin: z.number() }),
  /** The burner was found turned; nobody is told, the page shows it. */
  'heat-turned': z.object({ watch: watchId, turnedMs: instantMs, rateCPerMin: z.number() }),
  /** A hold began again: why, and what was counted by then. */
  'hold-broken': z.object({
    weight,
    watch: watchId,
    window: holdWindow,
    marginC: z.number(),
    why: holdBreak,
    atMs: instantMs,
    heldMs: z.int(),
    tempC: z.number().nullable(),
  }),
  /** A hold leaves its window as it is going, before its time is up. */
  'hold-will-drift': z.object({
    weight,
    watch: watchId,
    window: holdWindow,
    marginC: z.number(),
    side: z.enum(['under', 'over']),
    leaves: instantQuantiles,
    provesAtMs: instantMs.nullable(),
    tempC: z.number(),
  }),
  'hold-proved': z.object({
    weight,
    watch: watchId,
    window: holdWindow,
    marginC: z.number(),
    proof: holdProof,
  }),
  /** What was held has cooled to where it was wanted. */
  'hold-cooled': z.object({ weight, watch: watchId, window: holdWindow, tempC: z.number() }),
  /** A keep is on its way out of its window: why, how the milk is, and when it leaves as it is going. */
  'keep-will-leave': z.object({
    weight,
    watch: watchId,
    window: keepWindow,
    side: keepSide,
    cause: keepCause,
    causeSinceMs: instantMs,
    chance: z.number(),
    crossing: instantQuantiles,
    milk: tempQuantiles,
  }),
  /** The milk is surely out of its window, or was out of it for too long in one day. */
  'keep-left': z.object({
    weight,
    watch: watchId,
    window: keepWindow,
    side: keepSide,
    cause: keepCause,
    rule: excursionRule,
    leftAtMs: instantMs,
    /** How long it was beyond, in one go or, by the cumulative rule, in the last day. */
    beyondMs: z.int(),
    milk: tempQuantiles,
  }),
  /** The milk is back in its window, or what would have taken it out is over. */
  'keep-back': z.object({
    weight,
    watch: watchId,
    window: keepWindow,
    side: keepSide,
    cause: keepCause,
    leftAtMs: instantMs.nullable(),
    /** How far out the milk was at the most, °C; null where it never left. */
    mostC: z.number().nullable(),
    milk: tempQuantiles,
  }),
  /** Something went on in a place and is over; nobody is told, the page lists it. */
  'keep-noted': z.object({ watch: watchId, note: keepNote }),
  /** A place cools harder, or is warmer, than a week ago. */
  'keep-drifts': z.object({
    weight,
    watch: watchId,
    meanC: z.number(),
    meanBeforeC: z.number(),
    dutyShare: z.number().nullable(),
    dutyBeforeShare: z.number().nullable(),
  }),
  'probe-silent': z.object({
    weight,
    watch: watchId.nullable(),
    probe: plainId,
    lastHeardMs: instantMs,
    lastC: z.number(),
    usualMs: z.int(),
  }),
  'probe-heard': z.object({
    weight,
    watch: watchId.nullable(),
    probe: plainId,
    silentMs: z.int(),
    tempC: z.number(),
  }),
  /** What a probe said could not be judged: it was set aside, and its watch with it. */
  'probe-doubted': z.object({
    weight,
    watch: watchId.nullable(),
    probe: plainId,
    /** Why its readings are not believed; left out where they could not be judged at all. */
    why: doubtWhy.optional(),
    sinceMs: instantMs.optional(),
  }),
  /** Its readings are believed again. */
  'probe-trusted': z.object({ weight, watch: watchId.nullable(), probe: plainId, tempC: z.number() }),
  /** Letters do not leave by a way; `instead` are the ways that take over for its receivers. */
  'way-failed': z.object({
    weight,
    watch: z.null(),
    way: plainId,
    wayKind: z.enum(['page', 'command', 'email', 'webhook', 'mqtt']),
    why: z.string(),
    instead: z.array(plainId),
  }),
  /** Letters leave by it again. */
  'way-works': z.object({
    weight,
    watch: z.null(),
    way: plainId,
    wayKind: z.enum(['page', 'command', 'email', 'webhook', 'mqtt']),
    failedMs: z.int(),
  }),
  /** The disk of the house refuses to write; told past the record, and kept in it once it takes writes again. */
  'disk-refuses': z.object({ weight, watch: z.null(), why: z.string(), sinceMs: instantMs }),
  /** It takes writes again. */
  'disk-takes': z.object({ weight, watch: z.null(), refusedMs: z.int() }),
} as const;

export type EventKind = keyof typeof bodies;
export type EventBody<K extends EventKind> = z.infer<(typeof bodies)[K]>;

/** Every kind that the record may hold, in the order in which this page lists them. */
export const eventKinds = Object.keys(bodies) as EventKind[];

/** Kinds that speak to a person; their body has a `weight`. */
export const noticeCodes = [
  'chill-will-miss',
  'chill-made',
  'chill-missed',
  'chill-late',
  'outer-will-miss',
  'outer-missed',
  'outer-made',
  'freeze-near',
  'heat-near',
  'heat-off-now',
  'heat-will-not-reach',
  'heat-reached',
  'heat-over',
  'heat-missed',
  'heat-stir',
  'hold-broken',
  'hold-will-drift',
  'hold-proved',
  'hold-cooled',
  'keep-will-leave',
  'keep-left',
  'keep-back',
  'keep-drifts',
  'probe-silent',
  'probe-heard',
  'probe-doubted',
  'probe-trusted',
  'way-failed',
  'way-works',
  'disk-refuses',
  'disk-takes',
] as const satisfies readonly EventKind[];
export type NoticeCode = (typeof noticeCodes)[number];

/** Who caused an event. Before anybody can sign in, the person is `house`. */
export const by = z.object({ kind: z.enum(['person', 'probe', 'daemon', 'token']), id: z.string() });

/** What an event concerns: lists of ids. */
export const about = z.object({
  watch: z.array(z.string()).optional(),
  probe: z.array(z.string()).optional(),
  place: z.array(z.string()).optional(),
  vessel: z.array(z.string()).optional(),
  sitting: z.array(z.string()).optional(),
  lot: z.array(z.string()).optional(),
  make: z.array(z.string()).optional(),
});

/** Why an event happened: seqs of the record, or a span of one probe's readings. */
export const because = z.array(
  z.union([z.int(), z.object({ probe: z.string(), fromMs: instantMs, toMs: instantMs })]),
);

const happeningFields = {
  /** Watch + code + ordinal, or `house` + kind + inputSeq: saying it again does nothing. */
  id: z.string(),
  atMs: instantMs,
  by,
  about,
  because,
  /** The id of an earlier event that this one corrects. */
  amends: z.string().optional(),
};

type HappeningFields = {
  id: string;
  atMs: number;
  by: z.infer<typeof by>;
  about: z.infer<typeof about>;
  because: z.infer<typeof because>;
  amends?: string;
};

/** An event before the record has numbered and chained it; what the watching makes. */
export type Happening = {
  [K in EventKind]: HappeningFields & { kind: K; body: EventBody<K> };
}[EventKind];
export type HappeningOf<K extends EventKind> = Extract<Happening, { kind: K }>;

/** An event of the record: numbered from 1, chained by SHA-256 over RFC 8785 JSON without `hash`. */
export type RecordEvent = Happening & { v: 1; recordSeq: number; prev: string; hash: string };

const envelope = {
  v: z.literal(1),
  recordSeq: z.int().min(1),
  ...happeningFields,
  prev: z.string(),
  hash: z.string(),
};

/** The closed union of what the record may hold. */
export const recordEvent = z.discriminatedUnion(
  'kind',
  eventKinds.map((kind) => z.object({ kind: z.literal(kind), ...envelope, body: bodies[kind] })) as never,
) as unknown as z.ZodType<RecordEvent>;

/** Returns true where this event is one that speaks to a person. */
export function isNotice(event: Happening): event is HappeningOf<NoticeCode> {
  return (noticeCodes as readonly string[]).includes(event.kind);
}
