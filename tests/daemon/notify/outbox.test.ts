import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import type { Receiver } from '../../../daemon/notify/manners/rules.ts';
import { type Outbox, openOutbox } from '../../../daemon/notify/outbox.ts';
import { type HouseRecord, openRecord } from '../../../daemon/record/record.ts';
import { openDatabase } from '../../../daemon/sqlite/database.ts';
import type { Happening } from '../../../shared/contract/event.ts';
import { silent } from '../record/open-record.ts';
import { tempFolder } from '../sqlite/temp-folder.ts';
import { milker } from './manners/told.ts';

const nowMs = 1_780_000_000_000;

function open(receiver: Partial<Receiver> = {}) {
  const path = join(tempFolder(), 'house.db');
  const switches = { fails: false };
  const database = openDatabase({
    path,
    mode: 'write',
    beforeCommit: () => {
      if (switches.fails) throw new Error('planted');
    },
  });
  onTestFinished(database.close);
  const record: HouseRecord = openRecord(database, (events, atMs) => outbox.onKept(events, atMs));
  const outbox: Outbox = openOutbox(database, {
    receivers: [{ ...milker, ways: ['bell', 'mail'], ...receiver }],
    region: 'household',
  });
  const keep = (...happenings: Happening[]) => record.appendOutcome({ happenings, snapshots: [], nowMs });
  return { outbox, keep, switches };
}

/** One probe's silence; each has a matter of its own. */
function silence(ordinal: number): Happening {
  const event = silent(ordinal);
  return { ...event, body: { ...event.body, probe: `p${ordinal}` } } as Happening;
}

describe('the outbox', () => {
  it('holds the letters of an event if and only if the record holds the event', () => {
    const { outbox, keep, switches } = open();
    switches.fails = true;
    expect(() => keep(silence(1))).toThrow('planted');
    expect(outbox.lettersOf('bell', 10)).toEqual([]);
    switches.fails = false;
    const [event] = keep(silence(1));
    // The manners had heard of it once already, in the transaction that was undone.
    expect(outbox.lettersOf('bell', 10)).toMatchObject([{ why: 'first', seqs: [1], events: [event] }]);
    expect(outbox.lettersOf('mail', 10)).toHaveLength(1);
    keep(silence(1));
    expect(outbox.lettersOf('bell', 10)).toHaveLength(1);
  });

  it('gives each way its own place', () => {
    const { outbox, keep } = open();
    keep(silence(1), silence(2));
    const [first] = outbox.lettersOf('bell', 1);
    outbox.settleLetter({ way: 'bell', letterSeq: first?.letterSeq ?? 0, nowMs, is: 'sent' });
    expect(outbox.lettersOf('bell', 10).map(({ seqs }) => seqs)).toEqual([[2]]);
    expect(outbox.lettersOf('mail', 10).map(({ seqs }) => seqs)).toEqual([[1], [2]]);
    expect(outbox.ways(['bell', 'mail'])).toMatchObject([
      { way: 'bell', provedAtMs: nowMs, waiting: 1 },
      { way: 'mail', provedAtMs: null, waiting: 2 },
    ]);
  });

  it('lets another way take over once, and forgets at the first what the other brought', () => {
    const { outbox, keep } = open({ ways: ['bell', 'mail', 'page'] });
    keep(silence(1));
    const [letter] = outbox.lettersOf('bell', 1);
    const failed = {
      way: 'bell',
      letterSeq: letter?.letterSeq ?? 0,
      nowMs,
      is: 'failed',
      why: 'exit code 1',
      nextTryMs: nowMs + 1_000,
      takeOver: true,
    } as const;
    outbox.settleLetter(failed);
    outbox.settleLetter(failed);
    const [taken] = outbox.lettersOf('page', 10);
    expect(outbox.lettersOf('page', 10)).toHaveLength(1);
    expect(taken?.id).toBe(letter?.id);
    outbox.settleLetter({ way: 'page', letterSeq: taken?.letterSeq ?? 0, nowMs, is: 'sent' });
    expect(outbox.lettersOf('bell', 10)).toEqual([]);
    expect(outbox.journal(10, null).map(({ way, state }) => [way, state])).toEqual([
      ['page', 'sent'],
      ['mail', 'waiting'],
      ['bell', 'elsewhere'],
    ]);
  });

  it('takes ten thousand notices at once as twenty letters and one that counts the rest', () => {
    const { outbox, keep } = open({ ways: ['mail'] });
    expect(keep(...Array.from({ length: 10_000 }, (_, index) => silence(index + 1)))).toHaveLength(10_000);
    outbox.turnNotices(nowMs + 60_000);
    const letters = outbox.lettersOf('mail', 200);
    expect(letters).toHaveLength(21);
    expect([letters[20]?.why, (letters[20]?.seqs.length ?? 0) + (letters[20]?.more ?? 0)]).toEqual([
      'many',
      9_980,
    ]);
  });
});
