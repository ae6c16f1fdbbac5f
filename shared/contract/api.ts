import { z } from 'zod';
import { chillWindow, doubtWhy, outerWindow, recordEvent, weight } from './event.ts';
import { forecast, rescueKind } from './forecast.ts';
import { instantMs, material, placeKind, plainId } from './ids.ts';
import { keepView } from './keep-view.ts';
import { type Letter, letter } from './notify.ts';
import { heatView, holdView } from './pot-view.ts';

/** How a copy of the readings elsewhere is doing. */
export const mirrorView = z.object({
  id: plainId,
  /** `away`: cannot be reached; `denied`: reached, but it does not let this house write. */
  state: z.enum(['current', 'behind', 'away', 'denied']),
  /** Inputs that it has not looked at yet; a few may be none that are mirrored. */
  waiting: z.int(),
  /** True while readings wait because the clock is not yet known. */
  held: z.boolean(),
  /** How old the oldest reading is that waits to be sent; 0 where none does. */
  lagMs: z.number(),
  /** When the server last took readings; null where it never did since the daemon started. */
  takenAtMs: instantMs.nullable(),
  /** Readings that the server would not take, ever. */
  setAside: z.int(),
  /** What is wrong; empty where nothing is. */
  why: z.string(),
});
export type MirrorView = z.infer<typeof mirrorView>;

/** What the house's files take on disk, bytes with all that belongs to them, and what is free beside them. */
export const diskView = z.object({ historyBytes: z.int(), recordBytes: z.int(), freeBytes: z.int() });
export type DiskView = z.infer<typeof diskView>;

/** `GET /api/house`. */
export const houseView = z.object({
  v: z.literal(1),
  id: z.string(),
  name: z.string(),
  heightM: z.number(),
  zone: z.string(),
  units: z.enum(['F', 'C']),
  simulated: z.boolean(),
  places: z.array(z.object({ id: plainId, name: z.string(), kind: placeKind })),
  nowMs: instantMs,
  clockKnown: z.boolean(),
  recordSeq: z.int(),
  mirrors: z.array(mirrorView),
  disk: diskView,
});
export type HouseView = z.infer<typeof houseView>;

/** What is counted of a probe since the daemon started; nothing is dropped without a count. */
export const probeCounts = z.object({
  taken: z.int(),
  repeats: z.int(),
  conflicts: z.int(),
  late: z.int(),
  undated: z.int(),
  refused: z.int(),
});
export type ProbeCounts = z.infer<typeof probeCounts>;

/** One probe, in `GET /api/probes` and as the last-value message `probe` of the live feed. */
export const probeView = z.object({
  v: z.literal(1),
  id: plainId,
  name: z.string(),
  place: z.object({ id: plainId, name: z.string(), kind: placeKind }).nullable(),
  vessel: z
    .object({ name: z.string(), volumeL: z.number().nullable(), material: material.nullable() })
    .nullable(),
  source: z.string(),
  state: z.enum(['never-heard', 'heard', 'silent']),
  latest: z.object({ atMs: instantMs, tempC: z.number(), flags: z.int() }).nullable(),
  /** The probe's own rhythm, learned from its readings; null until known. */
  intervalMs: z.number().nullable(),
  counts: probeCounts,
});
export type ProbeView = z.infer<typeof probeView>;
/** What was on a wire and was not taken; the newest, for a person to look at. */
export const refusalView = z.object({
  source: z.string(),
  probe: z.string().nullable(),
  code: z.string(),
  message: z.string(),
});
export type RefusalView = z.infer<typeof refusalView>;

/** `GET /api/probes`. */
export const probesView = z.object({
  v: z.literal(1),
  probes: z.array(probeView),
  /** The newest refusals since the daemon started, oldest first. */
  refusals: z.array(refusalView),
});

/** Where a chill stands, in the words of the page. */
export const watchState = z.enum([
  'too-early',
  'on-course',
  'not-on-course',
  'made',
  'missed',
  'late',
  'silent',
  'doubted',
  'ended',
]);
export type WatchState = z.infer<typeof watchState>;

/** One chill, in `GET /api/watches` and as the last-value message `watch` of the live feed. */
export const watchView = z.object({
  v: z.literal(1),
  id: z.string(),
  kind: z.literal('chill'),
  probe: plainId,
  state: watchState,
  sinceMs: instantMs,
  window: chillWindow,
  latest: z.object({ atMs: instantMs, tempC: z.number() }).nullable(),
  /** °C a minute over the last minutes; null until known. */
  rateCPerMin: z.number().nullable(),
  /** The instant after which the probe counts as silent; null while it is heard. */
  silentSinceMs: instantMs.nullable(),
  crossedAtMs: instantMs.nullable(),
  atDeadlineC: z.number().nullable(),
  marginC: z.number(),
  /** What the region's rule asks beyond the house's own hour, soonest first. */
  outer: z.array(outerWindow.extend({ state: z.enum(['open', 'met', 'missed']) })).optional(),
  /** Why and since when its probe is not believed; null or left out while it is. */
  doubt: z.object({ why: doubtWhy, sinceMs: instantMs }).nullable().optional(),
  /** Ways out that were taken, in their order; its curve counts from the last of them. */
  taken: z.array(z.object({ kind: rescueKind, atMs: instantMs })).optional(),
  forecast: forecast.nullable(),
});
export type WatchView = z.infer<typeof watchView>;

/** One watch of any kind; `kind` tells which. */
export const anyWatchView = z.discriminatedUnion('kind', [watchView, keepView, heatView, holdView]);
export type AnyWatchView = z.infer<typeof anyWatchView>;
export const watchesView = z.object({ v: z.literal(1), watches: z.array(anyWatchView) });

/** One span of a probe's history: what was least, most and on average in it. */
export const historyBucket = z.object({
  fromMs: instantMs,
  toMs: instantMs,
  minC: z.number(),
  maxC: z.number(),
  meanC: z.number(),
  count: z.int(),
});
export type HistoryBucket = z.infer<typeof historyBucket>;

/** A stretch of time, `toMs` not included. */
export const historyStretch = z.object({ fromMs: instantMs, toMs: instantMs });

/**
 * What the history answers of a span: buckets, those without a reading left out; the edges that were used, which
 * `snap` moves outwards; stretches between buckets without a reading; stretches whose readings are damaged.
 */
export const historyAnswer = z.object({
  buckets: z.array(historyBucket),
  edges: historyStretch,
  gaps: z.array(historyStretch),
  damaged: z.array(historyStretch),
});
export type HistoryAnswer = z.infer<typeof historyAnswer>;

/** To what the edges of buckets may be moved, so that sums of whole minutes, hours or days answer alone. */
export const historySnaps = ['none', 'minute', 'hour', 'day'] as const;
export type HistorySnap = (typeof historySnaps)[number];

/** `GET /api/history/<probe>?from&to&points&snap`: `fromMs` and `toMs` are the span that was asked for. */
export const historyView = z.object({
  v: z.literal(1),
  probe: plainId,
  fromMs: instantMs,
  toMs: instantMs,
  // A house of an earlier release says no more than its buckets.
  ...historyAnswer.partial({ edges: true, gaps: true, damaged: true }).shape,
});
export type HistoryView = z.infer<typeof historyView>;

/** One message to a person. The sentence is made from `event` by the reader, in the reader's units. */
export const notice = z.object({
  v: z.literal(1),
  id: z.string(),
  recordSeq: z.int(),
  atMs: instantMs,
  weight,
  code: z.string(),
  watch: z.string().nullable(),
  probe: z.string().nullable(),
  /** The sentence in the house's own language, units and zone. */
  text: z.string(),
});
export type Notice = z.infer<typeof notice>;
export const noticesView = z.object({ v: z.literal(1), notices: z.array(notice) });

/** `GET /health`: 200 while readings can be committed, 503 when not. */
export const health = z.object({
  v: z.literal(1),
  ok: z.boolean(),
  release: z.string(),
  sinceMs: instantMs,
  clockKnown: z.boolean(),
  inputSeq: z.int(),
  pending: z.int(),
  sources: z.array(
    z.object({ id: z.string(), state: z.enum(['open', 'waiting', 'closed']), why: z.string() }),
  ),
  faults: z.array(z.string()),
});
export type Health = z.infer<typeof health>;

/** A refused request: a code of the error catalogue and a sentence. */
export const problem = z.object({ v: z.literal(1), code: z.string(), message: z.string() });
export type Problem = z.infer<typeof problem>;

/** A last-value message of the live feed; `record` messages carry ids, these do not. */
export type LiveValue =
  | { kind: 'probe'; value: z.infer<typeof probeView> }
  | { kind: 'watch'; value: AnyWatchView }
  /** A letter for open pages; one that sounds for it says so. */
  | { kind: 'letter'; value: Letter };

/** The data of a `value` message of the live feed: a last-value message as it stands on the wire. */
export const liveValueMessage = z.discriminatedUnion('kind', [
  z.object({ v: z.literal(1), kind: z.literal('probe'), value: probeView }),
  z.object({ v: z.literal(1), kind: z.literal('watch'), value: anyWatchView }),
  z.object({ v: z.literal(1), kind: z.literal('letter'), value: letter }),
]);
export type LiveValueMessage = z.infer<typeof liveValueMessage>;

/** `GET /api/record?after=&limit=`: events after that seq, in order; fewer than `limit` means no more yet. */
export const recordPage = z.object({
  v: z.literal(1),
  /** The newest seq of the record when this was answered. */
  recordSeq: z.int(),
  events: z.array(recordEvent),
});
export type RecordPage = z.infer<typeof recordPage>;
