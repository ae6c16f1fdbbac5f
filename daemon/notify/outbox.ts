/**
 * The outbox in `house.db`: letters to be sent, written in the transaction of the event that caused them,
 * and each way's own place in them. It runs where the write connection is.
 */
import { isNotice, type RecordEvent } from '../../shared/contract/event.ts';
import type { Database } from '../sqlite/database.ts';
import { DiskFault } from '../sqlite/disk-fault.ts';
import type { MannersRules } from './manners/rules.ts';
import type { Draft, Manners, Matter } from './manners/state.ts';
import { type MannersInput, openMatters, stepManners, wakeAtMs } from './manners/step.ts';
import { openMannersMemory } from './manners-memory.ts';
import { type JournalRow, lettersPerAnswerMax, type OutboxLetter, openLetters } from './outbox-letters.ts';
import { openWays, type Settlement, type WayState } from './outbox-ways.ts';

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

/** Opens the outbox on the write connection of a house file that has its tables. */
export function openOutbox(database: Database, rules: MannersRules): Outbox {
  const letters = openLetters(database);
  const ways = openWays(database);
  const memory = openMannersMemory(database);

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
