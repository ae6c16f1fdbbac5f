/**
 * The outbox in `house.db`: letters to be sent, written in the transaction of the event that caused them,
 * and each way's own place in them. It runs where the write connection is.
 */
import { isNotice, type RecordEvent } from '../../shared/contract/event.ts';
import type { Database } from '../sqlite/database.ts';
import { DiskFault } from '../sqlite/disk-fault.ts';
import type { MannersRules } from './manners/rules.ts';
import { type Draft, type Manners, type Matter, mannersVersion, openManners } from './manners/state.ts';
import { type MannersInput, openMatters, stepManners, wakeAtMs } from './manners/step.ts';

/** A letter of the outbox with the events that it tells of. */
export type OutboxLetter = Draft & { letterSeq: number; events: RecordEvent[] };

/** How a way stands: its place in the outbox, what its last tries came to, when it last proved itself. */
export type WayState = {
  way: string;
  /** Every letter of this way up to here is settled. */
  cursor: number;
  tries: number;
  nextTryMs: number;
  failingSinceMs: number | null;
  fault: string | null;
  provedAtMs: number | null;
};

/** What a try to send a letter came to. */
export type Settlement = { way: string; letterSeq: number; nowMs: number } & (
  | { is: 'sent' }
  /** The way failed: it is tried again at `nextTryMs`; with `takeOver` other ways bring its letters, too. */
  | { is: 'failed'; why: string; nextTryMs: number; takeOver: boolean }
  /** This letter will never leave by this way; the next of its receiver's ways brings it. */
  | { is: 'refused'; why: string }
);

/** A line of the notices' journal. */
export type JournalRow = Omit<OutboxLetter, 'seqs'> & {
  state: 'waiting' | 'sent' | 'refused' | 'elsewhere';
  settledMs: number | null;
  fault: string | null;
};

export type Outbox = {
  /** Writes the letters that events cause; must be called in the transaction that keeps them. */
  onKept(events: readonly RecordEvent[], nowMs: number): void;
  /** Writes what falls due with time alone; returns when to look again, null for never. */
  turnNotices(nowMs: number): { wakeAtMs: number | null; letters: number };
  /** The next letters of a way that are not yet settled, in order. */
  lettersOf(way: string, limit: number): OutboxLetter[];
  /** Keeps what a try came to, and writes the letters by which other ways take over; returns how the way now stands. */
  settleLetter(settlement: Settlement): WayState;
  /** Keeps that a test arrived by a way. */
  proveWay(way: string, nowMs: number): WayState;
  /** How ways stand, and how many letters wait for each. */
  ways(ids: readonly string[]): (WayState & { waiting: number })[];
  /** The newest lines of the journal, newest first; with `beforeSeq` those before it. */
  journal(limit: number, beforeSeq: number | null): JournalRow[];
  /** The matters that stand open, the heaviest first. */
  openMatters(): Matter[];
};

/** The most letters in one answer; more are asked for again. */
export const lettersPerAnswerMax = 200;

/** Settled letters that are kept for the journal; the oldest go first. */
export const journalMax = 20_000;

/** Letters that wait for one way; beyond, the oldest that another way took over are refused, and the journal says so. */
export const waitingMax = 5_000;

type LetterRow = Omit<Draft, 'seqs'> & { letterSeq: number; seqs: string };
type WayRow = WayState;

const letterColumns = 'letterSeq, id, receiver, way, matter, weight, why, seqs, more, madeAtMs';
const untouched = { cursor: 0, tries: 0, nextTryMs: 0, failingSinceMs: null, fault: null, provedAtMs: null };

/** Opens the outbox on the write connection of a house file that has its tables. */
export function openOutbox(database: Database, rules: MannersRules): Outbox {
  const letters = openLetters(database);
  const ways = openWays(database);
  const memory = openMemory(database);

  function step(inputs: readonly MannersInput[]): number {
    if (inputs.length === 0) return 0;
    try {
      const state = memory.read();
      let written = 0;
      for (const input of inputs) {
        for (const draft of stepManners(state, input, rules).letters) written += letters.add(draft);
      }
      memory.keep(state);
      return written;
    } catch (error) {
      // The step has changed what it was given.
      memory.forget();
      throw error;
    }
  }

  return {
    onKept: (events, nowMs) => {
      try {
        step([{ kind: 'events', events, nowMs }]);
      } catch (error) {
        if (error instanceof DiskFault) throw error;
        // Bad manners are better than silence: everybody is told, by the dearest way.
        for (const draft of plainLetters(events, rules, nowMs)) letters.add(draft);
      }
    },
    turnNotices: (nowMs) => {
      const dueMs = nextDueMs(memory.read(), rules, nowMs);
      const written =
        dueMs !== null && dueMs <= nowMs ? database.transaction(() => step([{ kind: 'tick', nowMs }])) : 0;
      return { wakeAtMs: wakeAtMs(memory.read()), letters: written };
    },
    lettersOf: (way, limit) => letters.next(way, ways.of(way).cursor, Math.min(limit, lettersPerAnswerMax)),
    settleLetter: (settlement) =>
      database.transaction(() => {
        const { letterSeq, nowMs, way } = settlement;
        const letter = letters.find(letterSeq);
        if (letter === null) return ways.of(way);
        if (settlement.is === 'failed') letters.boundWaiting(way, nowMs);
        else letters.settle(letter, settlement);
        for (const each of takenOverBy(settlement, letter)) {
          const undelivered = { letter: each, onWays: letters.waysOf(each) };
          step([{ kind: 'undelivered', undelivered, nowMs }]);
          letters.markTakenOver(each.letterSeq);
        }
        return ways.settle(settlement);
      }),
    proveWay: (way, nowMs) =>
      database.transaction(() => ways.put({ ...ways.of(way), provedAtMs: nowMs, fault: null })),
    ways: (ids) => ids.map((way) => ({ ...ways.of(way), waiting: letters.waiting(way) })),
    journal: letters.journal,
    openMatters: () => openMatters(memory.read()),
  };

  /** The letters that other ways are to bring now. */
  function takenOverBy(settlement: Settlement, letter: OutboxLetter): OutboxLetter[] {
    if (settlement.is === 'refused') return [letter];
    return settlement.is === 'failed' && settlement.takeOver ? letters.notTakenOver(settlement.way) : [];
  }
}

/** When a tick is wanted; at once where a receiver has no digest to come yet. */
function nextDueMs(state: Manners, { receivers }: MannersRules, nowMs: number): number | null {
  const lacks = receivers.some(({ id, digestMin }) => digestMin !== null && state.digests[id] === undefined);
  return lacks ? nowMs : wakeAtMs(state);
}

/** What is written where the manners fail: each notice, to each receiver, by the first way. */
function plainLetters(events: readonly RecordEvent[], { receivers }: MannersRules, nowMs: number): Draft[] {
  return events.flatMap((event) => {
    if (!isNotice(event)) return [];
    const { recordSeq } = event as RecordEvent;
    const { weight } = event.body;
    const letter = { id: `${event.id}/first`, matter: null, weight, why: 'first' as const, more: 0 };
    return receivers.map(({ id: receiver, ways }) => ({
      ...letter,
      receiver,
      way: ways[0] ?? '',
      seqs: [recordSeq],
      madeAtMs: nowMs,
    }));
  });
}

function openLetters(database: Database) {
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

function openWays(database: Database) {
  const find = database.prepare<WayRow>(
    'SELECT way, cursor, tries, nextTryMs, failingSinceMs, fault, provedAtMs FROM ways WHERE way = ?',
  );
  const upsert = database.prepare(
    `INSERT INTO ways (way, cursor, tries, nextTryMs, failingSinceMs, fault, provedAtMs) VALUES (?, ?, ?, ?, ?, ?, ?)
     ON CONFLICT (way) DO UPDATE SET cursor = excluded.cursor, tries = excluded.tries, nextTryMs = excluded.nextTryMs,
       failingSinceMs = excluded.failingSinceMs, fault = excluded.fault, provedAtMs = excluded.provedAtMs`,
  );
  const of = (way: string): WayState => ({ ...(find.first(way) ?? { way, ...untouched }) });
  const put = (state: WayState): WayState => {
    const { way, cursor, tries, nextTryMs, failingSinceMs, fault, provedAtMs } = state;
    upsert.run(way, cursor, tries, nextTryMs, failingSinceMs, fault, provedAtMs);
    return state;
  };
  return {
    of,
    put,
    settle: (settlement: Settlement): WayState => {
      const { way, letterSeq, nowMs } = settlement;
      const before = of(way);
      switch (settlement.is) {
        case 'sent':
          return put({ ...untouched, way, cursor: letterSeq, provedAtMs: nowMs });
        case 'refused':
          return put({ ...before, cursor: letterSeq, tries: 0, nextTryMs: 0, fault: settlement.why });
        case 'failed': {
          const { why: fault, nextTryMs } = settlement;
          const failingSinceMs = before.failingSinceMs ?? nowMs;
          return put({ ...before, tries: before.tries + 1, nextTryMs, failingSinceMs, fault });
        }
        default:
          return settlement satisfies never;
      }
    },
  };
}

/**
 * The manners' memory: one row of JSON, begun anew where it is of another version. What is held here is only
 * as good as the row: where a transaction was undone, the row's number differs and it is read again.
 */
function openMemory(database: Database) {
  const number = database.prepare<{ turn: number; version: number }>(
    'SELECT turn, version FROM manners WHERE one = 1',
  );
  const body = database.prepare<{ body: string }>('SELECT body FROM manners WHERE one = 1');
  const upsert = database.prepare(
    `INSERT INTO manners (one, version, turn, body) VALUES (1, ?, ?, ?)
     ON CONFLICT (one) DO UPDATE SET version = excluded.version, turn = excluded.turn, body = excluded.body`,
  );
  let held: { turn: number; state: Manners } | null = null;
  return {
    read: (): Manners => {
      const row = number.first();
      const turn = row?.turn ?? 0;
      if (held !== null && held.turn === turn) return held.state;
      const known = row?.version === mannersVersion ? body.first() : undefined;
      held = { turn, state: known === undefined ? openManners() : (JSON.parse(known.body) as Manners) };
      return held.state;
    },
    keep: (state: Manners): void => {
      const turn = (number.first()?.turn ?? 0) + 1;
      upsert.run(mannersVersion, turn, JSON.stringify(state));
      held = { turn, state };
    },
    forget: (): void => {
      held = null;
    },
  };
}
