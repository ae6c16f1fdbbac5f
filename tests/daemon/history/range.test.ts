import { array, assert, constantFrom, integer, oneof, property, record, tuple } from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { IntakeItem } from '../../../daemon/history/intake-item.ts';
import type { RangeQuery } from '../../../daemon/history/range.ts';
import { type RawReading, rawSliceMax } from '../../../daemon/history/raw.ts';
import type { HistoryBucket } from '../../../shared/contract/api.ts';
import { caught } from '../sqlite/caught.ts';
import { at, heard, openTestHistory, type TestHistory } from './open-history.ts';

const dawnMs = Date.UTC(2026, 4, 3, 5, 30);

type Offsets = [number, number, number];
type Kept = RawReading & { probe: string; inputSeq: number };

const offset = integer({ min: 0, max: 250 });
const offsets = tuple(offset, offset, offset);
const query = record({
  fromMs: integer({ min: 0, max: 300 }),
  spanMs: integer({ min: 1, max: 300 }),
  points: integer({ min: 1, max: 40 }),
}).map(({ fromMs, spanMs, points }) => ({ probe: 'jar', fromMs, toMs: fromMs + spanMs, points }));
const item = record({
  probe: constantFrom('jar', 'pot'),
  tempC: integer({ min: -100, max: 1000 }).map((steps) => steps * 0.0625),
  flags: constantFrom(0, 0, 0, 1, 3, 8),
  receivedMs: integer({ min: 0, max: 300 }),
  stamp: oneof(
    record({ atMs: integer({ min: 0, max: 300 }) }),
    record({ era: integer({ min: 1, max: 3 }), steadyMs: integer({ min: 0, max: 100 }) }),
  ),
});
const batches = array(array(item, { maxLength: 40 }), { maxLength: 6 });

function eraOffsets(of: Offsets): { era: number; offsetMs: number }[] {
  return of.map((offsetMs, index) => ({ era: index + 1, offsetMs }));
}

/**
 * Keeps all batches at guessed offsets, then learns others; seals what is fresh after those batches whose
 * places `sealAfter` names. Returns what must be there.
 */
function keepAll(
  { history, commit }: TestHistory,
  offered: IntakeItem[][],
  { guessed, learned, sealAfter }: { guessed: Offsets; learned: Offsets; sealAfter: readonly number[] },
): Kept[] {
  for (const { offsetMs } of eraOffsets(guessed)) history.openEra({ offsetMs, known: false, startedMs: 0 });
  const kept = offered.flatMap((batch, place) => {
    const verdicts = commit(...batch);
    if (sealAfter.includes(place)) history.sealAll();
    return batch.flatMap(({ probe, tempC, receivedMs, stamp }, index): Kept[] => {
      const verdict = verdicts[index];
      if (verdict?.is !== 'stored') return [];
      const atMs = 'atMs' in stamp ? stamp.atMs : stamp.steadyMs + (learned[stamp.era - 1] ?? 0);
      return [{ probe, atMs, tempC, flags: verdict.flags, inputSeq: verdict.inputSeq, receivedMs }];
    });
  });
  for (const { era, offsetMs } of eraOffsets(learned)) history.learnEra({ era, offsetMs, known: true });
  while (history.tend());
  return kept.sort((a, b) => a.atMs - b.atMs || a.inputSeq - b.inputSeq);
}

/** Means may differ in their last digits: sums are taken in another order. */
function rounded(buckets: HistoryBucket[]): HistoryBucket[] {
  return buckets.map((bucket) => ({ ...bucket, meanC: Math.round(bucket.meanC * 1e9) / 1e9 }));
}

/** Reads a whole range slice by slice, as the reader does. */
function rawOf({ read }: TestHistory, query: { probe: string; fromMs: number; toMs: number }): RawReading[] {
  const all: RawReading[] = [];
  for (let fromMs: number | null = query.fromMs; fromMs !== null; ) {
    const slice = read.rawSlice({ ...query, fromMs });
    all.push(...slice.readings);
    fromMs = slice.nextMs !== null && slice.nextMs < query.toMs ? slice.nextMs : null;
  }
  return all;
}

/** What a range must be: each span filtered out of all readings, one by one. */
function bruteForce(readings: RawReading[], { fromMs, toMs, points }: RangeQuery): HistoryBucket[] {
  const wholeMs = BigInt(toMs - fromMs);
  const count = BigInt(Math.min(points, toMs - fromMs));
  const edge = (index: bigint) => fromMs + Number((index * wholeMs + count - 1n) / count);
  return Array.from({ length: Number(count) }, (_, index) => {
    const [spanFromMs, spanToMs] = [edge(BigInt(index)), edge(BigInt(index + 1))];
    const values = readings
      .filter(({ atMs, flags }) => atMs >= spanFromMs && atMs < spanToMs && (flags & 2) === 0)
      .map(({ tempC }) => tempC);
    const sumC = values.reduce((sum, each) => sum + each, 0);
    return {
      fromMs: spanFromMs,
      toMs: spanToMs,
      minC: Math.min(...values),
      maxC: Math.max(...values),
      meanC: sumC / values.length,
      count: values.length,
    };
  }).filter((bucket) => bucket.count > 0);
}

describe('a range of the history', () => {
  it('gives least, most, mean and count of each span and leaves empty spans out', () => {
    const { commit, read } = openTestHistory();
    commit(at(dawnMs, 30), at(dawnMs + 999, 28), at(dawnMs + 3000, 20), at(dawnMs + 4000, 19));
    expect(read.range({ probe: 'jar', fromMs: dawnMs, toMs: dawnMs + 4000, points: 4 })).toEqual([
      { fromMs: dawnMs, toMs: dawnMs + 1000, minC: 28, maxC: 30, meanC: 29, count: 2 },
      { fromMs: dawnMs + 3000, toMs: dawnMs + 4000, minC: 20, maxC: 20, meanC: 20, count: 1 },
    ]);
  });

  it('merges eras and absolute instants in one span', () => {
    const { commit, history, read } = openTestHistory();
    const start = { offsetMs: dawnMs, known: true, startedMs: dawnMs };
    const [one, two] = [history.openEra(start), history.openEra({ ...start, offsetMs: dawnMs + 500 })];
    commit(heard(one, 100, 30), at(dawnMs + 200, 20), heard(two, 100, 10));
    expect(read.range({ probe: 'jar', fromMs: dawnMs, toMs: dawnMs + 1000, points: 1 })).toEqual([
      { fromMs: dawnMs, toMs: dawnMs + 1000, minC: 10, maxC: 30, meanC: 20, count: 3 },
    ]);
  });

  it('leaves undated readings out of the curve and in the raw readings', () => {
    const test = openTestHistory();
    test.commit(at(dawnMs, 30), at(dawnMs + 1, 90, { flags: 2 }));
    const query = { probe: 'jar', fromMs: dawnMs, toMs: dawnMs + 10 };
    expect(test.read.range({ ...query, points: 1 })).toMatchObject([{ maxC: 30, count: 1 }]);
    expect(rawOf(test, query)).toMatchObject([{ tempC: 30 }, { tempC: 90, flags: 2 }]);
  });

  it('keeps the mean of equal readings equal to them', () => {
    const { commit, read } = openTestHistory();
    commit(...Array.from({ length: 50 }, (_, index) => at(dawnMs + index, 4.1)));
    expect(read.range({ probe: 'jar', fromMs: dawnMs, toMs: dawnMs + 50, points: 1 })).toMatchObject([
      { minC: 4.1, maxC: 4.1, meanC: 4.1 },
    ]);
  });

  it('is empty for a probe that was never heard', () => {
    const { read } = openTestHistory();
    const query = { probe: 'jar', fromMs: 0, toMs: 1000 };
    expect([read.range({ ...query, points: 10 }), read.rawSlice(query)]).toEqual([
      [],
      { readings: [], nextMs: null },
    ]);
  });

  it('equals brute force over eras, late data, conflicts, learned offsets and sealed blocks', () => {
    const sealAfter = array(integer({ min: 0, max: 5 }), { maxLength: 3 });
    const file = openTestHistory();
    // Thousands of small commits: what is proved here is not the sync.
    file.database.exec('PRAGMA synchronous = OFF');
    assert(
      property(batches, offsets, offsets, query, sealAfter, (offered, guessed, learned, range, sealed) => {
        const test = file.emptied();
        const kept = keepAll(test, offered, { guessed, learned, sealAfter: sealed }).filter(
          ({ probe }) => probe === 'jar',
        );
        const { probe, fromMs, toMs } = range;
        const inside = kept.filter(({ atMs }) => atMs >= fromMs && atMs < toMs);
        expect(rawOf(test, { probe, fromMs, toMs }).map(told).sort()).toEqual(inside.map(told).sort());
        expect(rounded(test.read.range(range))).toEqual(rounded(bruteForce(inside, range)));
      }),
      { seed: 1420, numRuns: 200 },
    );
  });
});

/** What a reading tells, also once it is sealed. */
function told({ atMs, tempC, flags }: RawReading): string {
  return `${atMs} ${tempC} ${flags}`;
}

describe('the raw readings of a range', () => {
  it('come in order of instant, slice by slice, where eras lie over each other', () => {
    const test = openTestHistory();
    const era = test.history.openEra({ offsetMs: dawnMs, known: true, startedMs: dawnMs });
    const count = rawSliceMax + 500;
    const both = Array.from({ length: count }, (_, index) => [
      at(dawnMs + 2 * index, index * 0.01),
      heard(era, 2 * index, index * 0.01),
    ]);
    test.commit(...both.flat());
    const found = rawOf(test, { probe: 'jar', fromMs: dawnMs, toMs: dawnMs + 2 * count });
    expect(found.map(({ inputSeq }) => inputSeq)).toEqual(both.flat().map((_, index) => index + 1));
    expect(found.at(-1)).toEqual({
      atMs: dawnMs + 2 * (count - 1),
      tempC: (count - 1) * 0.01,
      flags: 1,
      inputSeq: 2 * count,
      receivedMs: 2 * (count - 1),
    });
  });
});

describe('the raw readings of eras that were opened in another order than they lie in', () => {
  it('come in order of instant, also where one era fills the first slice', () => {
    const test = openTestHistory();
    const openAt = (offsetMs: number) => test.history.openEra({ offsetMs, known: true, startedMs: dawnMs });
    const many = (era: number, count: number) =>
      Array.from({ length: count }, (_, steadyMs) => heard(era, steadyMs, 20));
    test.commit(
      ...many(openAt(dawnMs + 1), rawSliceMax + 1),
      ...many(openAt(dawnMs + 10_000), 1),
      ...many(openAt(dawnMs), 1),
    );
    const found = rawOf(test, { probe: 'jar', fromMs: dawnMs, toMs: dawnMs + 20_000 });
    const inOrder = Array.from({ length: rawSliceMax + 2 }, (_, index) => dawnMs + index);
    expect(found.map(({ atMs }) => atMs)).toEqual([...inOrder, dawnMs + 10_000]);
  });
});

describe('a question to the history', () => {
  it.each<[string, Partial<RangeQuery>, string]>([
    [
      'that ends where it begins',
      { toMs: 1000 },
      'toMs of the range of jar must be whole milliseconds after fromMs (1000), got 1000',
    ],
    [
      'of no points',
      { points: 0 },
      'points of the range of jar must be a whole number from 1 to 10000, got 0',
    ],
    [
      'of too many points',
      { points: 10_001 },
      'points of the range of jar must be a whole number from 1 to 10000, got 10001',
    ],
    [
      'from a fraction of a millisecond',
      { fromMs: 0.5 },
      'fromMs of the range of jar must be whole milliseconds from 0 to 253402300799999, got 0.5',
    ],
    [
      'to no instant',
      { toMs: Number.NaN },
      'toMs of the range of jar must be whole milliseconds after fromMs (1000), got NaN',
    ],
  ])('is refused %s', (_, broken, said) => {
    const { read } = openTestHistory();
    const asked = { probe: 'jar', fromMs: 1000, toMs: 2000, points: 10, ...broken };
    expect(caught(() => read.range(asked))).toEqual({
      code: 'RANGE_RULE',
      message: `RANGE_RULE: ${said}. Ask again.`,
    });
  });

  it('is refused for raw readings by the same rules', () => {
    const { read } = openTestHistory();
    expect(caught(() => read.rawSlice({ probe: 'jar', fromMs: 2, toMs: 1 })).code).toBe('RANGE_RULE');
  });
});
