import type { Word } from './word.ts';

/** Marks that a reading carries from the wire to the history; a bit each. */
export const readingFlags = {
  /** The instant is the daemon's receipt, not the source's. */
  receipt: 1,
  /** Redelivered without a stamp, or in the first moments of a resumed session: kept, feeds no watch. */
  undated: 2,
  /** Older than the newest reading of its probe when it was taken in. */
  late: 4,
  /** Made by a simulated probe. */
  simulated: 8,
  /** Came from a file that was logged elsewhere; no watch was fed with it. */
  imported: 16,
} as const;

/** One temperature reading as the watching sees it. `atMs` is UTC as far as it is known. */
export type Reading = { probe: string; atMs: number; tempC: number; flags: number };

/** An input of the watching: numbered in the order in which the writer took them. */
export type Input = { inputSeq: number; receivedMs: number } & (
  | { kind: 'reading'; reading: Reading }
  | { kind: 'word'; wordId: string; by: string; word: Word }
  | { kind: 'clock'; deltaMs: number; known: boolean }
  /** The daemon began to listen again; nobody listened since `aliveUntilMs` (null on the first run). */
  | { kind: 'start'; release: string; known: boolean; aliveUntilMs: number | null; clean: boolean }
);

/** A tick: time has reached a wake that the watching asked for. Not numbered and not stored. */
export type Tick = { kind: 'tick'; atMs: number };
