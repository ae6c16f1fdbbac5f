/** The letters' table of the outbox in `house.db`: each letter with what became of it. */
import type { RecordEvent } from '../../shared/contract/event.ts';
import type { Database } from '../sqlite/database.ts';
import type { Draft } from './manners/state.ts';
import type { Settlement } from './outbox-ways.ts';

/** A letter of the outbox with the events that it tells of. */
export type OutboxLetter = Draft & { letterSeq: number; events: RecordEvent[] };

/** A line of the notices' journal. */
export type JournalRow = Omit<OutboxLetter, 'seqs'> & {
  state: 'waiting' | 'sent' | 'refused' | 'elsewhere';
  settledMs: number | null;
  fault: string | null;
};

/** The most letters in one answer; more are asked for again. */
export const lettersPerAnswerMax = 200;

/** Settled letters that are kept for the journal; the oldest go first. */
export const journalMax = 20_000;

/** Letters that wait for one way; beyond, the oldest that another way took over are refused, and the journal says so. */
export const waitingMax = 5_000;

type LetterRow = Omit<Draft, 'seqs'> & { letterSeq: number; seqs: string };

const letterColumns = 'letterSeq, id, receiver, way, matter, weight, why, seqs, more, madeAtMs';

/** The letters of a house file that has their table; what it writes belongs to the caller's transaction. */
export function openLetters(database: Database) {
  const insert = database.prepare(
    `INSERT INTO outbox (id, receiver, way, matter, weight, why, seqs, more, madeAtMs)
     VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (id, receiver, way) DO NOTHING`,
  );
  const find = database.prepare<LetterRow>(`SELECT ${letterColumns} FROM outbox WHERE letterSeq = ?`);
  const next = database.prepare<LetterRow>(
    `SELECT ${letterColumns} FROM outbox WHERE way = ? AND letterSeq > ? AND state = 'waiting' ORDER BY letterSeq LIMIT ?`,
  );
  const untaken = database.prepare<LetterRow>(
    `SELECT ${letterColumns} FROM outbox WHERE way = ? AND state = 'waiting' AND takenOver = 0 ORDER BY letterSeq LIMIT ${lettersPerAnswerMax}`,
  );
  const mark = database.prepare('UPDATE outbox SET takenOver = 1 WHERE letterSeq = ?');
  const same = database.prepare<{ way: string }>('SELECT way FROM outbox WHERE id = ? AND receiver = ?');
  const settle = database.prepare(
    'UPDATE outbox SET state = ?, settledMs = ?, fault = ? WHERE letterSeq = ?',
  );
  // What another way took over from this one, and brought, need not come again when this one works again.
  const elsewhere = database.prepare(
    `UPDATE outbox SET state = 'elsewhere', settledMs = ? WHERE id = ? AND receiver = ? AND state = 'waiting' AND takenOver = 1`,
  );
  const tooMany = database.prepare(
    `UPDATE outbox SET state = 'refused', settledMs = ?, fault = 'too many letters waited'
     WHERE way = ? AND state = 'waiting' AND takenOver = 1 AND letterSeq <=
       (SELECT letterSeq FROM outbox WHERE way = ? AND state = 'waiting' ORDER BY letterSeq DESC LIMIT 1 OFFSET ${waitingMax})`,
  );
  const waiting = database.prepare<{ count: number }>(
    "SELECT count(*) AS count FROM outbox WHERE way = ? AND state = 'waiting'",
  );
  const journal = database.prepare<LetterRow & Pick<JournalRow, 'state' | 'settledMs' | 'fault'>>(
    `SELECT ${letterColumns}, state, settledMs, fault FROM outbox WHERE letterSeq < ? ORDER BY letterSeq DESC LIMIT ?`,
  );
  const prune = database.prepare("DELETE FROM outbox WHERE letterSeq <= ? AND state <> 'waiting'");
  const event = database.prepare<{ json: string; hash: string }>(
    'SELECT json, hash FROM events WHERE recordSeq = ?',
  );
  const eventsOf = (seqs: readonly number[]): RecordEvent[] =>
    seqs.flatMap((seq) => {
      const row = event.first(seq);
      return row === undefined ? [] : [{ ...JSON.parse(row.json), hash: row.hash } as RecordEvent];
    });
  const letterOf = ({ seqs, ...row }: LetterRow): OutboxLetter => {
    const list = JSON.parse(seqs) as number[];
    return { ...row, seqs: list, events: eventsOf(list) };
  };
  return {
    add: (draft: Draft): number => {
      const { id, receiver, way, matter, weight, why, seqs, more, madeAtMs } = draft;
      return insert.run(id, receiver, way, matter, weight, why, JSON.stringify(seqs), more, madeAtMs);
    },
    find: (letterSeq: number): OutboxLetter | null => {
      const row = find.first(letterSeq);
      return row === undefined ? null : letterOf(row);
    },
    next: (way: string, cursor: number, limit: number) => next.all(way, cursor, limit).map(letterOf),
    notTakenOver: (way: string) => untaken.all(way).map(letterOf),
    markTakenOver: (letterSeq: number) => mark.run(letterSeq),
    waysOf: ({ id, receiver }: Draft) => same.all(id, receiver).map(({ way }) => way),
    settle: (letter: OutboxLetter, settlement: Settlement): void => {
      const { letterSeq, nowMs } = settlement;
      const fault = settlement.is === 'sent' ? null : settlement.why;
      settle.run(settlement.is === 'sent' ? 'sent' : 'refused', nowMs, fault, letterSeq);
      if (settlement.is === 'sent') elsewhere.run(nowMs, letter.id, letter.receiver);
      prune.run(letterSeq - journalMax);
    },
    boundWaiting: (way: string, nowMs: number) => tooMany.run(nowMs, way, way),
    waiting: (way: string) => waiting.first(way)?.count ?? 0,
    journal: (limit: number, beforeSeq: number | null): JournalRow[] =>
      journal
        .all(beforeSeq ?? Number.MAX_SAFE_INTEGER, Math.min(limit, lettersPerAnswerMax))
        .map(({ state, settledMs, fault, ...row }) => ({ ...letterOf(row), state, settledMs, fault })),
  };
}
