/** The inputs that are no readings: a person's words, the clock's steps, the daemon's own starts. */
import type { Input } from '../../shared/contract/input.ts';
import type { Word } from '../../shared/contract/word.ts';
import type { Database } from '../sqlite/database.ts';

/** A word as it was said: `wordId` is the client's, so that a repeated tap does nothing; receipt in epoch ms. */
export type SaidWord = { wordId: string; by: string; word: Word; receivedMs: number };

/** A step of the system clock by `deltaMs`, or (with 0) the clock becoming known or unknown. */
export type ClockStep = { deltaMs: number; known: boolean; receivedMs: number };

/** The daemon begins to listen; nobody listened since `aliveUntilMs` (null on the first run). */
export type HouseStart = {
  release: string;
  known: boolean;
  aliveUntilMs: number | null;
  clean: boolean;
  receivedMs: number;
};

export type PersonInputs = {
  /** Keeps a word as input `inputSeq`, or returns the number under which its `wordId` was kept before. */
  commitWord(said: SaidWord, inputSeq: number): { inputSeq: number; already: boolean };
  /** Keeps a clock step as input `inputSeq`. */
  commitClock(step: ClockStep, inputSeq: number): { inputSeq: number };
  /** Keeps a start of the daemon as input `inputSeq`. */
  commitStart(start: HouseStart, inputSeq: number): { inputSeq: number };
  /** Returns up to `limit` of these inputs numbered above `inputSeq`, in order. */
  inputsAfter(inputSeq: number, limit: number): Input[];
  /** Returns the newest one's number and receipt; null where there is none. */
  last(): { inputSeq: number; receivedMs: number } | null;
};

type Row = {
  inputSeq: number;
  receivedMs: number;
  kind: 'word' | 'clock' | 'start';
  wordId: string | null;
  json: string;
};

/** Opens these inputs on the write connection of a house file. */
export function openPersonInputs(database: Database): PersonInputs {
  const said = database.prepare<{ inputSeq: number }>('SELECT inputSeq FROM inputs WHERE wordId = ?');
  const insert = database.prepare(
    'INSERT INTO inputs (inputSeq, kind, wordId, receivedMs, json) VALUES (?, ?, ?, ?, ?)',
  );
  const after = database.prepare<Row>(
    'SELECT inputSeq, receivedMs, kind, wordId, json FROM inputs WHERE inputSeq > ? ORDER BY inputSeq LIMIT ?',
  );
  const last = database.prepare<{ inputSeq: number; receivedMs: number }>(
    'SELECT inputSeq, receivedMs FROM inputs ORDER BY inputSeq DESC LIMIT 1',
  );
  const keep = (kind: 'clock' | 'start', kept: { inputSeq: number; receivedMs: number; body: object }) => {
    const { inputSeq, receivedMs, body } = kept;
    database.transaction(() => insert.run(inputSeq, kind, null, receivedMs, JSON.stringify(body)));
    return { inputSeq };
  };
  return {
    commitWord: ({ wordId, by, word, receivedMs }, inputSeq) => {
      const before = said.first(wordId);
      if (before !== undefined) return { inputSeq: before.inputSeq, already: true };
      database.transaction(() =>
        insert.run(inputSeq, 'word', wordId, receivedMs, JSON.stringify({ by, word })),
      );
      return { inputSeq, already: false };
    },
    commitClock: ({ receivedMs, ...step }, inputSeq) => keep('clock', { inputSeq, receivedMs, body: step }),
    commitStart: ({ receivedMs, ...start }, inputSeq) => keep('start', { inputSeq, receivedMs, body: start }),
    inputsAfter: (inputSeq, limit) => after.all(inputSeq, limit).map(inputOf),
    last: () => {
      const found = last.first();
      return found === undefined ? null : { ...found };
    },
  };
}

function inputOf({ inputSeq, receivedMs, kind, wordId, json }: Row): Input {
  const rest = JSON.parse(json) as Omit<Input, 'inputSeq' | 'receivedMs' | 'kind' | 'wordId'>;
  const own = kind === 'word' ? { wordId } : {};
  return { inputSeq, receivedMs, kind, ...own, ...rest } as Input;
}
