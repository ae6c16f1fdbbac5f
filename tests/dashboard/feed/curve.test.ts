import { describe, expect, it } from 'vitest';
import {
  curveFromHistory,
  curvePointsMax,
  emptyCurve,
  extendCurve,
  heardGapMs,
  heardRuns,
  heardSpans,
} from '../../../dashboard/src/feed/curve.ts';

function bucket(fromMs: number, meanC: number) {
  return { fromMs, toMs: fromMs + 1000, minC: meanC, maxC: meanC, meanC, count: 1 };
}

const history = { v: 1 as const, probe: 'jar', fromMs: 0, toMs: 10_000 };

describe('a curve', () => {
  it('stands in the middle of each bucket of the history', () => {
    const curve = curveFromHistory({ ...history, buckets: [bucket(0, 30), bucket(1000, 29)] }, emptyCurve);
    expect(curve).toEqual({
      points: [
        { atMs: 500, tempC: 30 },
        { atMs: 1500, tempC: 29 },
      ],
      spacingMs: 1000,
    });
  });

  it('keeps live points that are younger than the history and drops those that it holds', () => {
    const live = extendCurve(extendCurve(emptyCurve, { atMs: 900, tempC: 30 }), { atMs: 2500, tempC: 28 });
    const curve = curveFromHistory({ ...history, buckets: [bucket(0, 30)] }, live);
    expect(curve.points).toEqual([
      { atMs: 500, tempC: 30 },
      { atMs: 2500, tempC: 28 },
    ]);
  });

  it('leaves out a reading that is not younger than its end', () => {
    const curve = extendCurve(emptyCurve, { atMs: 900, tempC: 30 });
    expect(extendCurve(curve, { atMs: 900, tempC: 31 })).toBe(curve);
  });

  it('thins its older half when it reaches its limit, and keeps its end', () => {
    let curve = emptyCurve;
    for (let at = 0; at <= curvePointsMax; at += 1) curve = extendCurve(curve, { atMs: at, tempC: at });
    expect(curve.points.length).toBeLessThan(curvePointsMax);
    expect(curve.points.slice(0, 2).map((point) => point.atMs)).toEqual([0, 2]);
    expect(curve.points.slice(-2).map((point) => point.atMs)).toEqual([curvePointsMax - 1, curvePointsMax]);
  });

  it('breaks where it was not heard for longer than three of its own intervals, but not under a minute', () => {
    expect(heardGapMs(emptyCurve, 5000)).toBe(60_000);
    expect(heardGapMs(emptyCurve, 30_000)).toBe(90_000);
    const points = [0, 50_000, 200_000].map((atMs) => ({ atMs, tempC: 20 }));
    const runs = heardRuns(points, 60_000);
    expect(runs).toEqual([points.slice(0, 2), points.slice(2)]);
    expect(heardSpans(runs)).toEqual([
      { fromMs: 0, toMs: 50_000 },
      { fromMs: 200_000, toMs: 200_000 },
    ]);
  });
});
