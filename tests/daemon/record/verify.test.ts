import { createHash } from 'node:crypto';
import { assert, constantFrom, integer, property } from 'fast-check';
import { describe, expect, it } from 'vitest';
import { chainEvent, firstPrev } from '../../../daemon/record/chain.ts';
import { chainFaultsMax, verifySliceMax } from '../../../daemon/record/verify.ts';
import { openTestRecord, silent, stepped, type TestRecord } from './open-record.ts';

function openFilled(count: number): TestRecord {
  const test = openTestRecord();
  const happenings = Array.from({ length: count }, (_, index) =>
    index % 2 === 0 ? stepped(index) : silent(index),
  );
  test.record.appendOutcome({ happenings, snapshots: [] });
  return test;
}

type Row = { json: string; hash: string };

function rowOf({ database }: TestRecord, recordSeq: number): Row {
  const row = database.prepare<Row>('SELECT json, hash FROM events WHERE recordSeq = ?').first(recordSeq);
  if (row === undefined) throw new Error(`event ${recordSeq} must be there, got none.`);
  return row;
}

describe('the check of the record', () => {
  it('finds nothing wrong in a sound record, over several slices', () => {
    const test = openFilled(2 * verifySliceMax + 7);
    expect(test.verify()).toEqual({
      events: 2 * verifySliceMax + 7,
      lastHash: test.record.end().hash,
      faults: [],
      faultCount: 0,
    });
  });

  it('finds nothing wrong in an empty record', () => {
    expect(openTestRecord().verify()).toEqual({ events: 0, lastHash: firstPrev, faults: [], faultCount: 0 });
  });

  it('names the event in whose text one byte was changed', () => {
    const count = 12;
    const test = openFilled(count);
    const change = test.database.prepare('UPDATE events SET json = ? WHERE recordSeq = ?');
    const hash = (recordSeq: number) => rowOf(test, recordSeq).hash;
    assert(
      property(
        integer({ min: 1, max: count }),
        integer({ min: 0 }),
        constantFrom('0', '1', 'z', ' ', '}'),
        (seq, at, byte) => {
          const { json } = rowOf(test, seq);
          const index = at % json.length;
          const changed = json.slice(0, index) + byte + json.slice(index + 1);
          if (changed === json) return;
          change.run(changed, seq);
          const { faults, events } = test.verify();
          change.run(json, seq);
          expect(events).toBe(count);
          expect(faults[0]).toMatchObject({ recordSeq: seq, kind: 'hash', expected: hash(seq) });
          expect(new Set(faults.map(({ recordSeq }) => recordSeq))).toEqual(new Set([seq]));
        },
      ),
      { seed: 1420, numRuns: 200 },
    );
    expect(test.verify().faultCount).toBe(0);
  });

  it.each([
    ['hash', "substr(hash, 1, 63) || 'g'", ['hash', 'link']],
    ['id', "id || 'x'", ['column']],
    ['kind', "'house-stopped'", ['column']],
    ['atMs', 'atMs + 1', ['column']],
  ])('names the event whose column %s was changed', (column, value, kinds) => {
    const test = openFilled(8);
    test.database.exec(`UPDATE events SET ${column} = ${value} WHERE recordSeq = 4`);
    const { faults } = test.verify();
    expect(faults[0]?.recordSeq).toBe(4);
    expect(faults.map(({ kind }) => kind)).toEqual(kinds);
  });

  it('names the link that an event forged with a hash of its own breaks', () => {
    const test = openFilled(8);
    const { hash } = rowOf(test, 3);
    const { event, json } = chainEvent({ ...silent(3), atMs: 1 }, { recordSeq: 3, hash });
    test.database
      .prepare('UPDATE events SET json = ?, hash = ?, atMs = 1 WHERE recordSeq = 4')
      .run(json, event.hash);
    const next = JSON.parse(rowOf(test, 5).json);
    expect(test.verify().faults).toEqual([
      { recordSeq: 5, kind: 'link', expected: event.hash, found: next.prev },
    ]);
  });

  it('names the gap where events were taken out', () => {
    const test = openFilled(8);
    const { hash } = rowOf(test, 3);
    test.database.exec('DELETE FROM events WHERE recordSeq IN (4, 5)');
    const { prev } = JSON.parse(rowOf(test, 6).json);
    expect(test.verify().faults).toEqual([
      { recordSeq: 6, kind: 'number', expected: '4', found: '6' },
      { recordSeq: 6, kind: 'link', expected: hash, found: prev },
    ]);
  });

  it('names an event that is not of the closed union, chained though it is', () => {
    const test = openFilled(3);
    const end = test.record.end();
    const { json } = chainEvent(stepped(99), end);
    const forged = json.replace('"known":true', '"known":"maybe"');
    insertForged(test, forged, stepped(99).id);
    expect(test.verify().faults).toEqual([
      {
        recordSeq: 4,
        kind: 'body',
        expected: 'an event that the record knows',
        found: expect.stringMatching(/^body\.known: /),
      },
    ]);
  });

  it('names an event whose text is not canonical, hashed though it is', () => {
    const test = openFilled(3);
    const { json } = chainEvent(stepped(99), test.record.end());
    const spaced = json.replace('"known":true', '"known": true');
    insertForged(test, spaced, stepped(99).id);
    expect(test.verify().faults).toEqual([
      { recordSeq: 4, kind: 'text', expected: 'RFC 8785 JSON', found: spaced },
    ]);
  });

  it('names an id that stands twice', () => {
    const test = openFilled(3);
    // A file in which the index no longer keeps ids apart.
    test.database.exec(`CREATE TABLE copy AS SELECT * FROM events; DROP TABLE events;
      ALTER TABLE copy RENAME TO events`);
    const { event, json } = chainEvent(
      { ...stepped(2), atMs: 5 },
      { recordSeq: 3, hash: rowOf(test, 3).hash },
    );
    test.database
      .prepare('INSERT INTO events VALUES (4, ?, ?, 5, ?, ?)')
      .run(event.id, event.kind, json, event.hash);
    expect(test.verify().faults).toEqual([
      {
        recordSeq: 4,
        kind: 'duplicate',
        expected: 'an id of its own',
        found: 'house:clock-stepped:2, the id of event 3',
      },
    ]);
  });

  it('lists the first faults and counts all', () => {
    const test = openFilled(chainFaultsMax + 50);
    test.database.exec('UPDATE events SET atMs = atMs + 1');
    const { faults, faultCount } = test.verify();
    expect([faults.length, faults[0]?.recordSeq, faultCount]).toEqual([
      chainFaultsMax,
      1,
      chainFaultsMax + 50,
    ]);
  });
});

function insertForged({ database }: TestRecord, json: string, id: string): void {
  const hash = createHash('sha256').update(json).digest('hex');
  const { kind, atMs, recordSeq } = JSON.parse(json);
  database.prepare('INSERT INTO events VALUES (?, ?, ?, ?, ?, ?)').run(recordSeq, id, kind, atMs, json, hash);
}
