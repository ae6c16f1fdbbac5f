import { describe, expect, it } from 'vitest';
import { openHistory } from '../../../daemon/history/history.ts';
import { readingFlags } from '../../../shared/contract/input.ts';
import { caught } from '../sqlite/caught.ts';
import { at, heard, openTestHistory } from './open-history.ts';

const hourMs = 3_600_000;
const guessedMs = Date.UTC(2025, 0, 1);
const trueMs = Date.UTC(2026, 4, 3);

describe('an era', () => {
  it('moves its curve when its offset is learned, rewrites none, and is seen by the watching as before', () => {
    const { commit, history, read, database } = openTestHistory();
    const era = history.openEra({ offsetMs: guessedMs, known: false, startedMs: guessedMs });
    commit(heard(era, 1000, 30), heard(era, 2000, 29));
    const rows = () => database.prepare('SELECT * FROM log').all();
    const before = rows();
    history.learnEra({ era, offsetMs: trueMs, known: true });
    expect(rows()).toEqual(before);
    expect(history.latest()).toEqual([{ probe: 'jar', atMs: trueMs + 2000, tempC: 29, flags: 1 }]);
    expect(history.inputsAfter(0, 10)).toMatchObject([
      { reading: { atMs: guessedMs + 1000 } },
      { reading: { atMs: guessedMs + 2000 } },
    ]);
    const range = { probe: 'jar', fromMs: trueMs, toMs: trueMs + hourMs, points: 1 };
    expect(read.range(range)).toEqual([
      { fromMs: trueMs, toMs: trueMs + hourMs, minC: 29, maxC: 30, meanC: 29.5, count: 2 },
    ]);
    expect(read.range({ ...range, fromMs: guessedMs, toMs: guessedMs + hourMs })).toEqual([]);
  });

  it('decides what is late by the offset as it is now known', () => {
    const { commit, history } = openTestHistory();
    const era = history.openEra({ offsetMs: guessedMs, known: false, startedMs: guessedMs });
    commit(heard(era, 1000, 30));
    expect(commit(at(trueMs, 29))).toMatchObject([{ flags: 0 }]);
    history.learnEra({ era, offsetMs: trueMs + hourMs, known: true });
    expect(commit(at(trueMs + 1, 29))).toMatchObject([{ flags: readingFlags.late }]);
    expect(commit(heard(era, 1001, 29))).toMatchObject([{ atMs: guessedMs + 1001, flags: 1 }]);
  });

  it('is numbered from 1 and still known after the file was opened again', () => {
    const { database, history } = openTestHistory();
    const start = { offsetMs: guessedMs, known: false, startedMs: guessedMs };
    expect([history.openEra(start), history.openEra(start)]).toEqual([1, 2]);
    const again = openHistory(database);
    expect(again.isNew).toBe(false);
    again.learnEra({ era: 2, offsetMs: trueMs, known: true });
    expect(again.commitReadings([heard(2, 5, 20), heard(1, 5, 20)], 1)).toMatchObject([
      { atMs: guessedMs + 5, flags: readingFlags.receipt },
      { atMs: guessedMs + 5, flags: readingFlags.receipt | readingFlags.late },
    ]);
    expect(again.latest()).toEqual([
      { probe: 'jar', atMs: trueMs + 5, tempC: 20, flags: readingFlags.receipt },
    ]);
    expect(again.openEra(start)).toBe(3);
  });

  it('refuses to learn of an era that was never opened, or of absolute time', () => {
    const { history } = openTestHistory();
    const learn = (era: number) => caught(() => history.learnEra({ era, offsetMs: 0, known: true }));
    expect(learn(1)).toEqual({
      code: 'ERA_RULE',
      message: 'ERA_RULE: the era must be one that was opened, got 1. Open one first.',
    });
    expect(learn(0).code).toBe('ERA_RULE');
  });

  it('refuses offsets of a fraction of a millisecond', () => {
    const { history } = openTestHistory();
    const start = { offsetMs: 0, known: true, startedMs: 0 };
    expect(caught(() => history.openEra({ ...start, offsetMs: 0.5 }))).toEqual({
      code: 'ERA_RULE',
      message: "ERA_RULE: the era's offsetMs must be whole milliseconds, got 0.5. Round it.",
    });
    expect(caught(() => history.openEra({ ...start, startedMs: Number.NaN })).code).toBe('ERA_RULE');
    const era = history.openEra(start);
    expect(caught(() => history.learnEra({ era, offsetMs: Infinity, known: true })).code).toBe('ERA_RULE');
  });
});
