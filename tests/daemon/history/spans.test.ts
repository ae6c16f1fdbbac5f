import { assert, integer, property } from 'fast-check';
import { describe, expect, it } from 'vitest';
import { spansOf } from '../../../daemon/history/spans.ts';

describe('equal spans', () => {
  it('divide a range without gap or overlap', () => {
    const spans = spansOf({ fromMs: 100, toMs: 110, points: 4 });
    expect([0, 1, 2, 3, 4].map(spans.at)).toEqual([100, 103, 105, 108, 110]);
    expect([100, 102, 103, 107, 109].map(spans.indexAt)).toEqual([0, 0, 1, 2, 3]);
  });

  it('are never more than the range has milliseconds', () => {
    const spans = spansOf({ fromMs: 5, toMs: 8, points: 1000 });
    expect([spans.count, ...[0, 1, 2, 3].map(spans.at)]).toEqual([3, 5, 6, 7, 8]);
  });

  it('hold every instant of their range, also over thousands of years', () => {
    const instant = integer({ min: 0, max: 253_402_300_799_999 });
    assert(
      property(instant, instant, integer({ min: 1, max: 10_000 }), instant, (a, b, points, c) => {
        const [fromMs, toMs] = [Math.min(a, b), Math.max(a, b) + 1];
        const atMs = fromMs + (c % (toMs - fromMs));
        const spans = spansOf({ fromMs, toMs, points });
        const index = spans.indexAt(atMs);
        expect([spans.at(0), spans.at(spans.count)]).toEqual([fromMs, toMs]);
        expect(index >= 0 && index < spans.count).toBe(true);
        expect(spans.at(index) <= atMs && atMs < spans.at(index + 1)).toBe(true);
      }),
      { seed: 1420 },
    );
  });
});
