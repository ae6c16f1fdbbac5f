import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  confirmedAtMs,
  crossedAtMs,
  feedCrossing,
  openCrossing,
  shiftCrossing,
} from '../../../daemon/watch/crossing.ts';

type Reading = { atMs: number; under: boolean };

const feed = (readings: readonly Reading[]) =>
  readings.reduce((state, { atMs, under }) => feedCrossing(state, atMs, under), openCrossing());

/** The rule as it is written: the first reading under the limit that none in the next 60 s contradicts. */
function byTheRule(readings: readonly Reading[]): number | null {
  const sorted = [...readings].sort((a, b) => a.atMs - b.atMs);
  const first = sorted.find(
    ({ atMs, under }) =>
      under && !sorted.some((other) => !other.under && other.atMs > atMs && other.atMs <= atMs + 60_000),
  );
  return first?.atMs ?? null;
}

/** Milk that falls through the limit while its readings waver about it. */
const wavering = fc
  .array(
    fc.record({
      gapMs: fc.integer({ min: 1, max: 40_000 }),
      chance: fc.double({ min: 0, max: 1, noNaN: true }),
    }),
    {
      minLength: 1,
      maxLength: 60,
    },
  )
  .map((steps) => {
    let atMs = 0;
    return steps.map(({ gapMs, chance }, index) => {
      atMs += gapMs;
      return { atMs, under: chance < index / steps.length };
    });
  })
  .filter((readings) => (readings.at(-1)?.atMs ?? 0) < 15 * 60_000);

describe('the crossing of a limit', () => {
  it('is the first reading under it that the next minute does not contradict', () => {
    expect(
      crossedAtMs(
        feed([
          { atMs: 0, under: false },
          { atMs: 10_000, under: true },
          { atMs: 20_000, under: false },
          { atMs: 30_000, under: true },
          { atMs: 60_000, under: true },
        ]),
      ),
    ).toBe(30_000);
  });

  it('stands where the contradiction comes a minute later and not where it comes within it', () => {
    const under = { atMs: 10_000, under: true };
    expect(crossedAtMs(feed([under, { atMs: 70_000, under: false }]))).toBe(null);
    expect(crossedAtMs(feed([under, { atMs: 70_001, under: false }]))).toBe(10_000);
  });

  it('is confirmed only by a reading a minute beyond it', () => {
    const before = feed([
      { atMs: 10_000, under: true },
      { atMs: 69_999, under: true },
    ]);
    expect(confirmedAtMs(before)).toBe(null);
    expect(confirmedAtMs(feedCrossing(before, 70_000, true))).toBe(10_000);
  });

  it('follows the rule in whatever order the readings come', () => {
    fc.assert(
      fc.property(wavering, fc.infiniteStream(fc.nat()), (readings, draws) => {
        const shuffled = readings
          .map((reading) => ({ reading, place: draws.next().value as number }))
          .sort((a, b) => a.place - b.place)
          .map(({ reading }) => reading);
        expect(crossedAtMs(feed(shuffled))).toBe(byTheRule(readings));
      }),
      { seed: 7, numRuns: 500 },
    );
  });

  it('moves with the clock', () => {
    fc.assert(
      fc.property(wavering, fc.integer({ min: -3_600_000, max: 3_600_000 }), (readings, deltaMs) => {
        const before = crossedAtMs(feed(readings));
        const after = crossedAtMs(
          shiftCrossing(feed(readings), { deltaMs, fromMs: Number.NEGATIVE_INFINITY }),
        );
        expect(after).toBe(before === null ? null : before + deltaMs);
      }),
      { seed: 8, numRuns: 200 },
    );
  });

  it('keeps a bounded memory over a day of wavering', () => {
    let state = openCrossing();
    for (let atMs = 0; atMs < 86_400_000; atMs += 1_000)
      state = feedCrossing(state, atMs, atMs % 7_000 !== 0);
    expect(JSON.stringify(state).length).toBeLessThan(20_000);
  });
});
