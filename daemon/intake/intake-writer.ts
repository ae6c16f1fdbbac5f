/** The port through which the intake keeps inputs; the writer thread stands behind it. */
import type { Word } from '../../shared/contract/word.ts';

/** One reading to keep: °C as read, flags, receipt, and its instant in UTC or on the steady clock of an era. */
export type IntakeItem = {
  probe: string;
  tempC: number;
  flags: number;
  receivedMs: number;
  stamp: { atMs: number } | { era: number; steadyMs: number };
};

/** What became of it; `stored` ones are numbered consecutively. */
export type Verdict =
  | { is: 'stored'; inputSeq: number; atMs: number; flags: number }
  | { is: 'repeat' }
  | { is: 'conflict'; keptC: number }
  | { is: 'refused'; code: string; message: string };

/**
 * Calls are kept in the order in which they are made and answered in that order. One that rejects has kept
 * nothing.
 */
export type IntakeWriter = {
  commitReadings(items: readonly IntakeItem[]): Promise<Verdict[]>;
  commitWord(said: {
    wordId: string;
    by: string;
    word: Word;
    receivedMs: number;
  }): Promise<{ inputSeq: number; already: boolean }>;
  commitStart(start: {
    release: string;
    known: boolean;
    aliveUntilMs: number | null;
    clean: boolean;
    receivedMs: number;
  }): Promise<{ inputSeq: number }>;
  commitClock(step: { deltaMs: number; known: boolean; receivedMs: number }): Promise<{ inputSeq: number }>;
};
