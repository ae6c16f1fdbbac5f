/** What the manners remember: plain JSON, kept in the transaction of what changed it. */
import type { Weight } from '../../../shared/contract/event.ts';
import type { LetterWhy } from '../../../shared/contract/notify.ts';
import type { SetUp } from './set-up.ts';

/** Raised where a kept state can no longer be read; one of another version is begun anew. */
export const mannersVersion = 1;

/** What a receiver was told of a matter since it opened. */
export type Told = { atMs: number; rank: number; times: number };

/** What a receiver is to be told next, and when. */
export type Due = { atMs: number; why: LetterWhy };

/** One thing that stands open, or was over a moment ago. */
export type Matter = {
  id: string;
  watch: string | null;
  probe: string | null;
  /** The newest event about it. */
  code: string;
  eventId: string;
  recordSeq: number;
  weight: Weight;
  openedMs: number;
  overMs: number | null;
  seen: { by: string; atMs: number } | null;
  snoozedToMs: number | null;
  /** The last instant at which the best rescue still works. */
  remindAtMs: number | null;
  /** When anybody was last told of it, in this opening or the one before, and how much it weighed. */
  lastTold: { atMs: number; rank: number } | null;
  told: Record<string, Told>;
  due: Record<string, Due>;
};

/** How many jars of one set-up missed in a row at one place. */
export type Run = { setUp: SetUp; misses: number; standing: boolean };

/** Letters of the last minute to one receiver, and what is gathered beyond the most that one can read. */
export type Burst = { fromMs: number; count: number; seqs: number[]; more: number; weight: Weight };

/** What a receiver's next digest tells. */
export type Digest = { dueMs: number; seqs: number[]; more: number };

export type Manners = {
  v: typeof mannersVersion;
  matters: Record<string, Matter>;
  failing: string[];
  sittings: Record<string, SetUp>;
  watches: Record<string, { probe: string; setUp: SetUp }>;
  runs: Record<string, Run>;
  bursts: Record<string, Burst>;
  digests: Record<string, Digest>;
};

/** A letter to one receiver by one way. The id is the same on each way, so that programs drop repeats. */
export type Draft = {
  id: string;
  receiver: string;
  way: string;
  matter: string | null;
  weight: Weight;
  why: LetterWhy;
  /** The events it tells of, newest last. */
  seqs: number[];
  /** Events beyond those that are named. */
  more: number;
  madeAtMs: number;
};

/** Manners that have heard of nothing yet. */
export function openManners(): Manners {
  return {
    v: mannersVersion,
    matters: {},
    failing: [],
    sittings: {},
    watches: {},
    runs: {},
    bursts: {},
    digests: {},
  };
}
