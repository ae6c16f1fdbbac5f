import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  bucketAt,
  damagedMsOf,
  envelopeOf,
  shiftedBuckets,
  snapOf,
  sumOf,
} from '../../../dashboard/src/history/envelope.ts';
import {
  bytesText,
  mirrorText,
  spanText,
  sumSentence,
} from '../../../dashboard/src/history/history-words.ts';

const bucket = (fromMs: number, toMs: number, meanC = 4, more: object = {}) => ({
  fromMs,
  toMs,
  minC: meanC - 1,
  maxC: meanC + 1,
  meanC,
  count: 10,
  ...more,
});

describe('what is asked for', () => {
  it('moves edges only where four or more whole units are in a bucket', () => {
    const [minuteMs, hourMs, dayMs] = [60_000, 3_600_000, 86_400_000];
    const widths = [1, 4 * minuteMs - 1, 4 * minuteMs, 4 * hourMs - 1, 4 * hourMs, 4 * dayMs - 1, 4 * dayMs];
    expect(widths.map(snapOf)).toEqual(['none', 'none', 'minute', 'minute', 'hour', 'hour', 'day']);
  });

  it('counts damaged time once, and only within the span', () => {
    const damaged = [
      { fromMs: 50, toMs: 70 },
      { fromMs: 0, toMs: 20 },
      { fromMs: 60, toMs: 65 },
      { fromMs: 90, toMs: 120 },
    ];
    expect(damagedMsOf(damaged, { fromMs: 10, toMs: 100 })).toBe(10 + 20 + 10);
    expect(damagedMsOf([], { fromMs: 10, toMs: 100 })).toBe(0);
  });
});

describe('an envelope', () => {
  it('has a gap wherever the probe was not heard by its own rhythm', () => {
    const buckets = [bucket(0, 10_000), bucket(10_000, 20_000), bucket(80_000, 90_000)];
    expect(envelopeOf(buckets, 1_000)).toEqual({
      runs: [buckets.slice(0, 2), buckets.slice(2)],
      gaps: [{ fromMs: 15_000, toMs: 85_000 }],
    });
    expect(envelopeOf(buckets, 30_000)).toEqual({ runs: [buckets], gaps: [] });
    expect(envelopeOf([], null)).toEqual({ runs: [], gaps: [] });
  });

  it('keeps every bucket once, in order, whatever the gaps', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 400 }), { maxLength: 40 }), (steps) => {
        let atMs = 0;
        const buckets = steps.map((step) => {
          atMs += step * 1_000;
          return bucket(atMs - 1_000, atMs);
        });
        const { runs, gaps } = envelopeOf(buckets, 2_000);
        expect(runs.flat()).toEqual(buckets);
        expect(gaps).toHaveLength(Math.max(0, runs.length - 1));
      }),
    );
  });

  it('is summed over the span shown: least, most, mean by readings, silence', () => {
    const buckets = [
      bucket(0, 10_000, 2),
      bucket(10_000, 20_000, 5, { count: 20 }),
      bucket(80_000, 90_000, 4),
    ];
    const envelope = envelopeOf(buckets, 1_000);
    expect(sumOf(envelope, { fromMs: 10_000, toMs: 60_000 })).toEqual({
      minC: 4,
      maxC: 6,
      meanC: 5,
      count: 20,
      gapMs: 45_000,
      gaps: 1,
    });
    expect(sumOf(envelope, { fromMs: 200_000, toMs: 300_000 })).toBeNull();
  });

  it('finds the bucket pointed at, or the nearest within reach', () => {
    const envelope = envelopeOf([bucket(0, 10_000), bucket(80_000, 90_000)], 1_000);
    expect(bucketAt(envelope, 5_000, 1_000)?.fromMs).toBe(0);
    expect(bucketAt(envelope, 79_500, 1_000)?.fromMs).toBe(80_000);
    expect(bucketAt(envelope, 40_000, 1_000)).toBeNull();
  });

  it('lies under another span when it is shifted', () => {
    expect(shiftedBuckets([bucket(0, 10, 4)], 90)).toEqual([bucket(90, 100, 4)]);
  });
});

describe('the words of a history', () => {
  const sum = { minC: 2, maxC: 5, meanC: 3, count: 9, gapMs: 7_200_000, gaps: 2 };

  it('say the range first, then the mean and what was not heard', () => {
    expect(sumSentence(sum, { units: 'F', damagedMs: 0 })).toEqual({
      say: 'From 35.6\u00a0°F to 41.0\u00a0°F.',
      or: 'Mean 37.4\u00a0°F. Not heard for 2 hours, in 2 pieces.',
    });
    expect(sumSentence({ ...sum, minC: 5, gaps: 0 }, { units: 'C', damagedMs: 0 })).toEqual({
      say: '5.0\u00a0°C all the while.',
      or: 'Mean 3.0\u00a0°C. Heard throughout.',
    });
    expect(sumSentence(null, { units: 'C', damagedMs: 0 })).toEqual({
      say: 'No reading in this span.',
      or: '',
    });
    expect(sumSentence(null, { units: 'C', damagedMs: 7_200_000 })).toEqual({
      say: 'No reading in this span.',
      or: 'Readings of 2 hours are damaged in the file: springhouse history verify says what to do.',
    });
  });

  it('tell a span by days, hours or seconds, as long as it is', () => {
    const at = (text: string) => Date.parse(text);
    const span = (from: string, to: string) => spanText({ fromMs: at(from), toMs: at(to) }, 'America/Denver');
    expect(span('2026-04-18T13:00:00Z', '2026-04-18T13:01:00Z')).toBe('18 April 2026, 7:00:00 to 7:01:00');
    expect(span('2026-04-18T00:00:00Z', '2026-04-18T13:00:00Z')).toBe(
      '17 April 2026, 18:00 to 18 April 2026, 7:00',
    );
    expect(span('2025-04-18T00:00:00Z', '2026-04-18T13:00:00Z')).toBe('17 April 2025 to 18 April 2026');
  });

  it('tell how a mirror stands', () => {
    const mirror = {
      id: 'stats',
      state: 'current',
      waiting: 0,
      held: false,
      lagMs: 0,
      takenAtMs: 1,
      setAside: 0,
      why: '',
    } as const;
    expect(mirrorText(mirror)).toEqual({ word: 'up to date', more: '' });
    expect(
      mirrorText({
        ...mirror,
        state: 'away',
        waiting: 12_000,
        lagMs: 7_200_000,
        why: 'connect ECONNREFUSED',
      }),
    ).toEqual({
      word: 'not reached',
      more: '2 hours behind; 12,000 to go; connect ECONNREFUSED',
    });
  });

  it('tell bytes as disks are sold', () => {
    expect([999, 41_200_000, 152_000, 82_578_976_768].map(bytesText)).toEqual([
      '999\u00a0B',
      '41.2\u00a0MB',
      '152\u00a0kB',
      '82.6\u00a0GB',
    ]);
  });
});
