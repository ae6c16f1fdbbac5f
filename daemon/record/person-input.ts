import type { Word } from '../../shared/contract/word.ts';

/** A word as it was said: `wordId` is the client's, so that a repeated tap does nothing; receipt in epoch ms. */
export type SaidWord = { wordId: string; by: string; word: Word; receivedMs: number };

/** A step of the system clock by `deltaMs`, or (with 0) the clock becoming known or unknown. */
export type ClockStep = { deltaMs: number; known: boolean; receivedMs: number };
