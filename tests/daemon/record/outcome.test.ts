import { describe, expect, it } from 'vitest';
import { firstPrev } from '../../../daemon/record/chain.ts';
import { openRecord } from '../../../daemon/record/record.ts';
import type { Happening } from '../../../shared/contract/event.ts';
import { recordEvent } from '../../../shared/contract/event.ts';
import { caught } from '../sqlite/caught.ts';
import { openTestRecord, silent, stepped } from './open-record.ts';

const jarLane = { lane: 'jar', stateVersion: 1, inputSeq: 7, body: '{"bins":[]}' };

describe('an outcome', () => {
  it('is numbered and chained from the first event on', () => {
    const { record, read } = openTestRecord();
    expect(record.end()).toEqual({ recordSeq: 0, hash: firstPrev });
    const first = record.appendOutcome({ happenings: [stepped(1), silent(1)], snapshots: [] });
    const second = record.appendOutcome({ happenings: [silent(2)], snapshots: [] });
    const all = [...first, ...second];
    expect(all.map(({ recordSeq, id }) => [recordSeq, id])).toEqual([
      [1, 'house:clock-stepped:1'],
      [2, 'keep-fridge-7:probe-silent:1'],
      [3, 'keep-fridge-7:probe-silent:2'],
    ]);
    expect(all.map(({ prev }) => prev)).toEqual([firstPrev, all[0]?.hash, all[1]?.hash]);
    expect(read.eventsAfter(0, 10)).toEqual(all);
    expect(all.map((event) => recordEvent.parse(event))).toEqual(all);
    expect(record.end()).toEqual({ recordSeq: 3, hash: all[2]?.hash });
  });

  it('leaves out an event whose id is there, also within one outcome', () => {
    const { record, read } = openTestRecord();
    record.appendOutcome({ happenings: [stepped(1)], snapshots: [] });
    const later = { ...stepped(1), atMs: 5 };
    const added = record.appendOutcome({ happenings: [later, stepped(2), stepped(2)], snapshots: [] });
    expect(added.map(({ recordSeq, id }) => [recordSeq, id])).toEqual([[2, 'house:clock-stepped:2']]);
    expect(read.eventsAfter(0, 10).map(({ atMs }) => atMs)).toEqual([stepped(1).atMs, stepped(2).atMs]);
  });

  it('keeps the newest snapshot of each lane', () => {
    const { record } = openTestRecord();
    const later = { ...jarLane, stateVersion: 2, inputSeq: 9, body: '{"bins":[1]}' };
    record.appendOutcome({ happenings: [], snapshots: [jarLane, { ...jarLane, lane: 'fridge' }] });
    record.appendOutcome({ happenings: [], snapshots: [later] });
    expect(record.snapshots()).toEqual([{ ...jarLane, lane: 'fridge' }, later]);
  });

  it('is kept whole or not at all', () => {
    const { record, read } = openTestRecord();
    const broken = { ...stepped(2), body: { deltaMs: 0.5, known: true } } as Happening;
    const fault = caught(() =>
      record.appendOutcome({ happenings: [stepped(1), broken], snapshots: [jarLane] }),
    );
    expect(fault.code).toBe('EVENT_RULE');
    expect([read.eventsAfter(0, 10), record.snapshots()]).toEqual([[], []]);
    expect(record.appendOutcome({ happenings: [stepped(2)], snapshots: [] })).toMatchObject([
      { recordSeq: 1, prev: firstPrev },
    ]);
  });

  it('goes on where it ended after the file was opened again', () => {
    const { record, database, verify } = openTestRecord();
    const [first] = record.appendOutcome({ happenings: [stepped(1)], snapshots: [jarLane] });
    const again = openRecord(database);
    expect([again.isNew, again.snapshots()]).toEqual([false, [jarLane]]);
    expect(again.appendOutcome({ happenings: [stepped(1), stepped(2)], snapshots: [] })).toMatchObject([
      { recordSeq: 2, prev: first?.hash },
    ]);
    expect(verify()).toMatchObject({ events: 2, faultCount: 0 });
  });
});

describe('the questions for events', () => {
  it('give events after a number and the newest notices, both in order', () => {
    const { record, read } = openTestRecord();
    const happenings = [silent(1), stepped(1), silent(2), stepped(2), silent(3)];
    const all = record.appendOutcome({ happenings, snapshots: [] });
    expect(read.eventsAfter(2, 2)).toEqual([all[2], all[3]]);
    expect(read.eventsAfter(5, 10)).toEqual([]);
    expect(read.noticesLast(2, null)).toEqual([all[2], all[4]]);
    expect(read.noticesLast(10, null)).toEqual([all[0], all[2], all[4]]);
  });

  it('are refused above their limit', () => {
    const { read } = openTestRecord();
    expect(caught(() => read.eventsAfter(0, 10_001))).toEqual({
      code: 'LIMIT_RULE',
      message: 'LIMIT_RULE: the events of an answer must be from 0 to 10000, got 10001. Ask in parts.',
    });
    expect(caught(() => read.noticesLast(-1, null)).code).toBe('LIMIT_RULE');
  });
});

describe('the notes of the house', () => {
  it('are kept under their keys, the newest in place of the one before', () => {
    const { record } = openTestRecord();
    expect(record.meta()).toEqual({});
    record.setMeta('house', 'larkfell-7q2');
    record.setMeta('release', '0.1.0');
    record.setMeta('release', '0.2.0');
    expect(record.meta()).toEqual({ house: 'larkfell-7q2', release: '0.2.0' });
  });
});
