/** What a probe has shown over time, as the page keeps it: a bounded, rising list of points. */

import type { HistoryView } from '../../../shared/contract/api.ts';

export type CurvePoint = { atMs: number; tempC: number };

export type Curve = {
  /** Rising by instant, no two at one instant. */
  points: readonly CurvePoint[];
  /** How far apart the points of the history stand at best; 0 where all points came from the live feed. */
  spacingMs: number;
};

export type Span = { fromMs: number; toMs: number };

/** The most points of one curve; when reached, every second point of the older half goes. */
export const curvePointsMax = 3000;

export const emptyCurve: Curve = { points: [], spacingMs: 0 };

/** Makes a curve of a history answer and keeps the points of `before` that are younger than its end. */
export function curveFromHistory(history: HistoryView, before: Curve): Curve {
  const points = history.buckets.map((bucket) => ({
    atMs: Math.round((bucket.fromMs + bucket.toMs) / 2),
    tempC: bucket.meanC,
  }));
  const lastMs = history.buckets.at(-1)?.toMs ?? Number.NEGATIVE_INFINITY;
  const spacingMs = Math.max(0, ...history.buckets.map((bucket) => bucket.toMs - bucket.fromMs));
  const younger = before.points.filter((point) => point.atMs > lastMs);
  return thinned({ points: [...points, ...younger], spacingMs });
}

/** Adds a reading; one that is not younger than the curve's end is left out, the next history brings it. */
export function extendCurve(curve: Curve, point: CurvePoint): Curve {
  const last = curve.points.at(-1);
  if (last !== undefined && point.atMs <= last.atMs) return curve;
  return thinned({ ...curve, points: [...curve.points, point] });
}

function thinned(curve: Curve): Curve {
  if (curve.points.length <= curvePointsMax) return curve;
  const half = Math.floor(curve.points.length / 2);
  return { ...curve, points: curve.points.filter((_, index) => index >= half || index % 2 === 0) };
}

/** How long two readings may stand apart before the time between them counts as not heard. */
export function heardGapMs(curve: Curve, intervalMs: number | null): number {
  return Math.max(60_000, 3 * (intervalMs ?? 0), 2.5 * curve.spacingMs);
}

/** Splits a curve where it was not heard for longer than `gapMs`; each run has at least one point. */
export function heardRuns(points: readonly CurvePoint[], gapMs: number): CurvePoint[][] {
  const runs: CurvePoint[][] = [];
  for (const point of points) {
    const run = runs.at(-1);
    const last = run?.at(-1);
    if (run === undefined || last === undefined || point.atMs - last.atMs > gapMs) runs.push([point]);
    else run.push(point);
  }
  return runs;
}

/** Where the youngest break of a curve ends; null where it has none. */
export function lastBreakMs(points: readonly CurvePoint[], gapMs: number): number | null {
  for (let index = points.length - 1; index > 0; index -= 1) {
    const at = points[index]?.atMs ?? 0;
    if (at - (points[index - 1]?.atMs ?? 0) > gapMs) return at;
  }
  return null;
}

/** The spans in which a probe was heard, rising and apart. */
export function heardSpans(runs: readonly (readonly CurvePoint[])[]): Span[] {
  return runs.flatMap((run) => {
    const first = run[0];
    const last = run.at(-1);
    return first && last ? [{ fromMs: first.atMs, toMs: last.atMs }] : [];
  });
}
