/** What the house sends to people, and by which ways. */
import { z } from 'zod';
import { type RecordEvent, recordEvent, weight } from './event.ts';
import { instantMs, plainId } from './ids.ts';

/** The kinds of way on which a letter can leave the house. */
export const wayKind = z.enum(['page', 'command', 'email', 'webhook', 'mqtt']);
export type WayKind = z.infer<typeof wayKind>;

/**
 * Why a letter is written: `first` its matter opens, `update` it has changed, `over` it has ended, `again`
 * nobody has seen an alarm, `reminder` a snooze has ended, `unseen` the people before this one have not seen
 * it, `held` quiet hours are over and it still stands, `calm` it came back and stays, `standing` a set-up
 * missed three times in a row, `digest` the morning's, `many` more letters than a person can read, `test`.
 */
export const letterWhy = z.enum([
  'first',
  'update',
  'over',
  'again',
  'reminder',
  'unseen',
  'held',
  'calm',
  'standing',
  'digest',
  'many',
  'test',
]);
export type LetterWhy = z.infer<typeof letterWhy>;

/** The most events that one letter names; a digest or a gathering counts the others. */
export const letterEventsMax = 20;

/** A letter in one receiver's words, as it leaves by a way. The same id again is the same letter: drop it. */
export const letter = z.object({
  v: z.literal(1),
  id: z.string(),
  house: z.string(),
  houseName: z.string(),
  simulated: z.boolean(),
  /** False where the disk refused to keep what this tells of. */
  recorded: z.boolean(),
  receiver: z.string(),
  why: letterWhy,
  weight,
  madeAtMs: instantMs,
  /** What it is about; null for a digest or a test. */
  matter: z.string().nullable(),
  code: z.string().nullable(),
  watch: z.string().nullable(),
  probe: z.string().nullable(),
  /** One line. */
  subject: z.string(),
  /** The whole, in plain lines. */
  text: z.string(),
  /** The event it tells of, with °C and UTC for programs; null where it tells of several or none. */
  event: recordEvent.nullable() as z.ZodType<RecordEvent | null>,
});
export type Letter = z.infer<typeof letter>;

/** How a way stands, in `GET /api/ways`. */
export const wayView = z.object({
  v: z.literal(1),
  id: plainId,
  kind: wayKind,
  /** Where it leads, in words and without a secret. */
  leadsTo: z.string(),
  /** Who is told by it. */
  receivers: z.array(z.string()),
  /** When a letter last surely arrived by it; null where none ever did. */
  provedAtMs: instantMs.nullable(),
  /** Since when letters do not leave by it; null while they do. */
  failingSinceMs: instantMs.nullable(),
  /** Why the last try failed; null where it did not. */
  fault: z.string().nullable(),
  /** Letters that wait for it. */
  waiting: z.int(),
});
export type WayView = z.infer<typeof wayView>;

/** `GET /api/ways`. */
export const waysView = z.object({
  v: z.literal(1),
  ways: z.array(wayView),
  /** Who is told, in the order in which they are. */
  receivers: z.array(z.object({ id: plainId, name: z.string(), ways: z.array(plainId) })),
  /** True where a way other than this page has brought a letter. */
  proved: z.boolean(),
});
export type WaysView = z.infer<typeof waysView>;

/** The answer to a test of a way. */
export const wayTested = z.object({
  v: z.literal(1),
  ok: z.boolean(),
  /** Why not; empty where it arrived. */
  why: z.string(),
  provedAtMs: instantMs.nullable(),
});
export type WayTested = z.infer<typeof wayTested>;

/** A matter that stands open, in `GET /api/matters`. */
export const matterView = z.object({
  v: z.literal(1),
  id: z.string(),
  watch: z.string().nullable(),
  probe: z.string().nullable(),
  weight,
  code: z.string(),
  sinceMs: instantMs,
  text: z.string(),
  /** Who has seen it, and when; null while nobody has. */
  seen: z.object({ by: z.string(), atMs: instantMs }).nullable(),
  snoozedToMs: instantMs.nullable(),
  /** The reminder that is offered: the last instant at which the best rescue still works, if there is one. */
  remindAtMs: instantMs.nullable(),
});
export type MatterView = z.infer<typeof matterView>;
export const mattersView = z.object({ v: z.literal(1), matters: z.array(matterView) });
export type MattersView = z.infer<typeof mattersView>;

/** One line of the notices' journal, in `GET /api/letters`: what went to whom by which way, and whether it did. */
export const letterLine = z.object({
  v: z.literal(1),
  id: z.string(),
  /** Its number in the journal: ask for those before it. */
  letterSeq: z.int(),
  receiver: z.string(),
  way: z.string(),
  why: letterWhy,
  weight,
  madeAtMs: instantMs,
  sentAtMs: instantMs.nullable(),
  state: z.enum(['waiting', 'sent', 'refused', 'elsewhere']),
  fault: z.string().nullable(),
  subject: z.string(),
});
export type LetterLine = z.infer<typeof letterLine>;
export const lettersView = z.object({ v: z.literal(1), letters: z.array(letterLine) });
