import { describe, expect, it } from 'vitest';
import { readingsPerCommitMax } from '../../../daemon/history/commit.ts';
import type { IntakeItem } from '../../../daemon/history/intake-item.ts';
import { readingFlags } from '../../../shared/contract/input.ts';
import { caught } from '../sqlite/caught.ts';
import { at, heard, openTestHistory } from './open-history.ts';

const dawnMs = Date.UTC(2026, 4, 3, 5, 30);

describe('a commit of readings', () => {
  it('numbers the stored ones consecutively and gives them back as inputs', () => {
    const { commit, history } = openTestHistory();
    expect(commit(at(dawnMs, 33.25), at(dawnMs, 4, { probe: 'fridge' }), at(dawnMs + 1000, 33.1875))).toEqual(
      [
        { is: 'stored', inputSeq: 1, atMs: dawnMs, flags: 0 },
        { is: 'stored', inputSeq: 2, atMs: dawnMs, flags: 0 },
        { is: 'stored', inputSeq: 3, atMs: dawnMs + 1000, flags: 0 },
      ],
    );
    expect(history.inputsAfter(1, 10)).toEqual([
      {
        kind: 'reading',
        inputSeq: 2,
        receivedMs: dawnMs + 5,
        reading: { probe: 'fridge', atMs: dawnMs, tempC: 4, flags: 0 },
      },
      {
        kind: 'reading',
        inputSeq: 3,
        receivedMs: dawnMs + 1005,
        reading: { probe: 'jar', atMs: dawnMs + 1000, tempC: 33.1875, flags: 0 },
      },
    ]);
    expect(history.inputsAfter(0, 1)).toHaveLength(1);
    expect(history.last()).toEqual({ inputSeq: 3, receivedMs: dawnMs + 1005 });
  });

  it('keeps the first of two readings at one absolute instant and tells repeats from conflicts', () => {
    const { commit, history } = openTestHistory();
    expect(commit(at(dawnMs, 33), at(dawnMs, 33), at(dawnMs, 34))).toEqual([
      { is: 'stored', inputSeq: 1, atMs: dawnMs, flags: 0 },
      { is: 'repeat' },
      { is: 'conflict', keptC: 33 },
    ]);
    expect(commit(at(dawnMs, 34), at(dawnMs + 1, 34), at(dawnMs, 33, { probe: 'pot' }))).toEqual([
      { is: 'conflict', keptC: 33 },
      { is: 'stored', inputSeq: 2, atMs: dawnMs + 1, flags: 0 },
      { is: 'stored', inputSeq: 3, atMs: dawnMs, flags: 0 },
    ]);
    expect(history.inputsAfter(0, 10).map(({ inputSeq }) => inputSeq)).toEqual([1, 2, 3]);
  });

  it('gives back every value as it was read, and -0 as 0', () => {
    const { commit, history } = openTestHistory();
    const values = [-273.15, -0, 0.1 + 0.2, 1e-300, 36, 2000];
    commit(...values.map((tempC, index) => at(dawnMs + index, tempC)));
    const kept = history
      .inputsAfter(0, 10)
      .map((input) => (input.kind === 'reading' ? input.reading.tempC : null));
    expect(kept.map((value) => Object.is(value, -0))).not.toContain(true);
    expect(kept).toEqual([-273.15, 0, 0.1 + 0.2, 1e-300, 36, 2000]);
  });

  it('marks as late what is older than the newest reading of its probe, also after a restart', () => {
    const { commit, history, database } = openTestHistory();
    const late = (inputSeq: number, atMs: number) => ({
      is: 'stored',
      inputSeq,
      atMs,
      flags: readingFlags.late,
    });
    commit(at(dawnMs, 33));
    expect(commit(at(dawnMs - 1, 34), at(dawnMs - 1, 34, { probe: 'pot' }))).toEqual([
      late(2, dawnMs - 1),
      { is: 'stored', inputSeq: 3, atMs: dawnMs - 1, flags: 0 },
    ]);
    // What was held in memory is gone with a transaction that failed, as with a restart.
    database.exec("CREATE TEMP TRIGGER full BEFORE INSERT ON log BEGIN SELECT raise(FAIL, 'planted'); END");
    expect(() => commit(at(dawnMs + 1, 33))).toThrow('planted');
    database.exec('DROP TRIGGER full');
    expect(commit(at(dawnMs - 2, 35))).toEqual([late(4, dawnMs - 2)]);
    expect(history.inputsAfter(3, 1)).toMatchObject([{ reading: { flags: readingFlags.late } }]);
  });

  it('keeps undated readings as undated: never late, and none late for their sake', () => {
    const { commit, history } = openTestHistory();
    const era = history.openEra({ offsetMs: 0, known: true, startedMs: 0 });
    const undated = readingFlags.receipt | readingFlags.undated;
    commit(at(dawnMs, 33));
    expect(
      commit(
        heard(era, dawnMs - 500, 20, { flags: undated }),
        heard(era, dawnMs + 9000, 20, { flags: undated }),
      ),
    ).toEqual([
      { is: 'stored', inputSeq: 2, atMs: dawnMs - 500, flags: undated },
      { is: 'stored', inputSeq: 3, atMs: dawnMs + 9000, flags: undated },
    ]);
    expect(commit(at(dawnMs + 1000, 32))).toEqual([
      { is: 'stored', inputSeq: 4, atMs: dawnMs + 1000, flags: 0 },
    ]);
    expect(history.latest()).toEqual([{ probe: 'jar', atMs: dawnMs + 1000, tempC: 32, flags: 0 }]);
  });

  it('keeps every receipt of one millisecond apart', () => {
    const { commit, history } = openTestHistory();
    const era = history.openEra({ offsetMs: dawnMs, known: true, startedMs: dawnMs });
    expect(commit(heard(era, 7, 20), heard(era, 7, 20), heard(era, 7, 21)).map(({ is }) => is)).toEqual([
      'stored',
      'stored',
      'stored',
    ]);
    expect(history.inputsAfter(0, 10)).toMatchObject([
      { inputSeq: 1, reading: { atMs: dawnMs + 7, tempC: 20 } },
      { inputSeq: 2, reading: { atMs: dawnMs + 7, tempC: 20 } },
      { inputSeq: 3, reading: { atMs: dawnMs + 7, tempC: 21 } },
    ]);
  });

  it.each<[string, Partial<IntakeItem>, string]>([
    [
      'a value that is no number',
      { tempC: Number.NaN },
      'tempC of the reading of jar must be from -273.15 to 2000, got NaN',
    ],
    [
      'a value under absolute zero',
      { tempC: -273.16 },
      'tempC of the reading of jar must be from -273.15 to 2000, got -273.16',
    ],
    [
      'an infinite value',
      { tempC: Infinity },
      'tempC of the reading of jar must be from -273.15 to 2000, got Infinity',
    ],
    [
      'a probe that is no plain id',
      { probe: 'the jar' },
      'probe of the reading of the jar must be a plain id, got the jar',
    ],
    [
      'flags beyond a byte',
      { flags: 256 },
      'flags of the reading of jar must be a whole number from 0 to 255, got 256',
    ],
    [
      'a fraction of a millisecond',
      { stamp: { atMs: 0.5 } },
      'atMs of the reading of jar must be whole milliseconds from 0 to 253402300799999, got 0.5',
    ],
    [
      'an instant after the year 9999',
      { stamp: { atMs: 253_402_300_800_000 } },
      'atMs of the reading of jar must be whole milliseconds from 0 to 253402300799999, got 253402300800000',
    ],
    [
      'a steady instant under 0',
      { stamp: { era: 1, steadyMs: -1 } },
      'steadyMs of the reading of jar must be whole milliseconds from 0 to 253402300799999, got -1',
    ],
    [
      'a receipt that is no instant',
      { receivedMs: Number.NaN },
      'receivedMs of the reading of jar must be whole milliseconds from 0 to 253402300799999, got NaN',
    ],
    [
      'an era that was not opened',
      { stamp: { era: 9, steadyMs: 1 } },
      'era of the reading of jar must be one that was opened, got 9',
    ],
  ])('refuses %s and keeps the others', (_, broken, said) => {
    const { commit } = openTestHistory();
    expect(commit(at(dawnMs, 33), at(dawnMs + 1, 33, broken), at(dawnMs + 2, 33))).toEqual([
      { is: 'stored', inputSeq: 1, atMs: dawnMs, flags: 0 },
      { is: 'refused', code: 'READING_RULE', message: `READING_RULE: ${said}. Correct its source.` },
      { is: 'stored', inputSeq: 2, atMs: dawnMs + 2, flags: 0 },
    ]);
  });

  it('refuses only the readings of a probe whose series the database would not take', () => {
    const { commit, database, history } = openTestHistory();
    database.exec(`CREATE TEMP TRIGGER bad BEFORE INSERT ON series WHEN new.probe = 'pot'
                   BEGIN SELECT raise(ABORT, 'planted'); END`);
    expect(
      commit(at(dawnMs, 33), at(dawnMs, 13, { probe: 'pot' }), at(dawnMs, 20, { probe: 'fridge' })),
    ).toEqual([
      { is: 'stored', inputSeq: 1, atMs: dawnMs, flags: 0 },
      {
        is: 'refused',
        code: 'READING_REJECTED',
        message:
          'READING_REJECTED: the reading of pot must be a row that the history takes, got planted. It was left out; the others were kept.',
      },
      { is: 'stored', inputSeq: 2, atMs: dawnMs, flags: 0 },
    ]);
    expect(history.latest().map(({ probe, tempC }) => [probe, tempC])).toEqual([
      ['fridge', 20],
      ['jar', 33],
    ]);
  });

  it('keeps nothing where the disk is full, and takes the same readings when there is room', () => {
    const { commit, database, history } = openTestHistory();
    const many = Array.from({ length: 2000 }, (_, index) => at(dawnMs + index, Math.sqrt(index)));
    database.exec('PRAGMA max_page_count = 16');
    expect(caught(() => commit(...many)).code).toBe('DISK_FULL');
    expect(history.last()).toBeNull();
    database.exec('PRAGMA max_page_count = 10000');
    expect(commit(...many).at(-1)).toEqual({ is: 'stored', inputSeq: 2000, atMs: dawnMs + 1999, flags: 0 });
  });

  it('refuses more readings than one commit takes', () => {
    const { commit, history } = openTestHistory();
    const tooMany = Array.from({ length: readingsPerCommitMax + 1 }, (_, index) => at(index, 20));
    expect(caught(() => commit(...tooMany))).toEqual({
      code: 'LIMIT_RULE',
      message: 'LIMIT_RULE: the readings of a commit must be from 0 to 10000, got 10001. Ask in parts.',
    });
    expect(history.last()).toBeNull();
    expect(commit()).toEqual([]);
  });
});
