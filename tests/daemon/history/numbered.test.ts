import { describe, expect, it } from 'vitest';
import { openNumbered } from '../../../daemon/history/numbered.ts';
import { readingFlags } from '../../../shared/contract/input.ts';
import { at, heard, openTestHistory } from './open-history.ts';

const dawnMs = Date.UTC(2026, 4, 3, 5, 30);

describe('readings by their numbers', () => {
  it('come in the order of the numbers, late ones in their turn, at the instants known by now', () => {
    const { commit, database, history } = openTestHistory();
    const era = history.openEra({ offsetMs: dawnMs, known: false, startedMs: dawnMs });
    commit(at(dawnMs + 5_000, 4), heard(era, 7_000, 3, { probe: 'larder' }));
    commit(at(dawnMs, 5));
    history.learnEra({ era, offsetMs: dawnMs + 60_000, known: true });
    const { numberedAfter, unloggedAfter } = openNumbered(database);
    const { late, receipt } = readingFlags;
    expect(numberedAfter(0, 10)).toEqual([
      { inputSeq: 1, probe: 'jar', atMs: dawnMs + 5_000, tempC: 4, flags: 0, receivedMs: dawnMs + 5_005 },
      { inputSeq: 2, probe: 'larder', atMs: dawnMs + 67_000, tempC: 3, flags: receipt, receivedMs: 7_000 },
      { inputSeq: 3, probe: 'jar', atMs: dawnMs, tempC: 5, flags: late, receivedMs: dawnMs + 5 },
    ]);
    expect(numberedAfter(1, 1).map(({ inputSeq }) => inputSeq)).toEqual([2]);
    expect(numberedAfter(3, 10)).toEqual([]);
    expect(unloggedAfter(0)).toBeNull();
  });

  it('are told by their stretches once the log has let them go, each of them in a stretch or in the log', () => {
    const { commit, database, history } = openTestHistory();
    const many = (probe: string, from: number, count: number) =>
      Array.from({ length: count }, (_, index) => at(dawnMs + (from + index) * 1_000, 4, { probe }));
    for (let from = 0; from < 4_000; from += 500) commit(...many('jar', from, 500));
    commit(...many('larder', 0, 10));
    history.sealAll();
    commit(...many('jar', 4_000, 5));
    database.exec('DELETE FROM log WHERE firstSeq < 4011');
    const { numberedAfter, unloggedAfter } = openNumbered(database);
    const found = unloggedAfter(0);
    const stretch = (probe: string, count: number) => ({
      probe,
      fromMs: dawnMs,
      toMs: dawnMs + (count - 1) * 1_000 + 1,
    });
    expect(found?.stretches).toEqual([stretch('jar', 4_000), stretch('larder', 10)]);
    const followed = numberedAfter(found?.followFromSeq ?? 0, 10).filter(
      ({ inputSeq, probe }) => inputSeq > (found?.sealedSeqs[probe] ?? 0),
    );
    expect(followed.map(({ inputSeq }) => inputSeq)).toEqual([4_011, 4_012, 4_013, 4_014, 4_015]);
    expect(unloggedAfter(4_010)).toBeNull();
  });
});
