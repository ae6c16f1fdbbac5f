/** All that the picture of a history shows, in the house's units. Pure. */

import type { HistoryBucket, Notice } from '../../../shared/contract/api.ts';
import type { LateStretch } from '../../../shared/contract/export.ts';
import { toUnits, type Units } from '../../../shared/units/format.ts';
import { type CalendarMark, calendarMarks, cellMsOf, openWall } from './calendar-marks.ts';
import type { Envelope, Gap } from './envelope.ts';
import type { ViewSpan } from './view-span.ts';

/** One curve: its name beside itself, and what it showed. */
export type ShownCurve = { name: string; envelope: Envelope };

export type HistoryScene = {
  span: ViewSpan;
  /** The bounds of the plot, in the house's units. */
  low: number;
  high: number;
  /** Round figures of the axis, rising. */
  steps: number[];
  marks: CalendarMark[];
  /** Cells of the border strip: which stretches of time are the dark ones. */
  cellMs: number;
  cellZeroMs: number;
  first: ShownCurve;
  beside: ShownCurve | null;
  gaps: Gap[];
  notices: readonly Notice[];
  late: readonly LateStretch[];
  nowMs: number;
  /** Where a person points or has stepped to; null where nowhere. */
  cursorMs: number | null;
  units: Units;
  zone: string;
};

export type SceneAsk = {
  span: ViewSpan;
  first: ShownCurve;
  beside: ShownCurve | null;
  notices: readonly Notice[];
  late: readonly LateStretch[];
  nowMs: number;
  cursorMs: number | null;
  units: Units;
  zone: string;
  /** The room of the plot, px. */
  plotPx: number;
};

/** The least distance of two figures under the plot, px. */
const clearPx = 76;

/** The least height of the scale: a fridge's tenth of a degree must not fill the picture. */
const leastSpanUnits = 2;

const stepSizes = [0.5, 1, 2, 5, 10, 20, 50, 100];
const stepsMost = 4;

export function historyScene(ask: SceneAsk): HistoryScene {
  const { span, first, beside, units, zone, plotPx } = ask;
  const shown = [first, ...(beside === null ? [] : [beside])].flatMap(({ envelope }) =>
    bucketsIn(envelope, span),
  );
  const { low, high, steps } = scaleOf(shown, units);
  const wall = openWall(zone);
  return {
    ...ask,
    low,
    high,
    steps,
    marks: calendarMarks({ ...span, zone, widthPx: plotPx, clearPx }),
    cellMs: cellMsOf({ ...span, widthPx: plotPx }),
    // Cells count from a local midnight, so that hours of the clock are whole cells.
    cellZeroMs: span.fromMs - (wall.ms(span.fromMs) % 86_400_000),
    gaps: first.envelope.gaps,
  };
}

function bucketsIn({ runs }: Envelope, { fromMs, toMs }: ViewSpan): HistoryBucket[] {
  return runs.flat().filter((bucket) => bucket.toMs > fromMs && bucket.fromMs < toMs);
}

function scaleOf(
  buckets: readonly HistoryBucket[],
  units: Units,
): { low: number; high: number; steps: number[] } {
  if (buckets.length === 0) return { low: 0, high: 1, steps: [] };
  let [least, most] = [Infinity, -Infinity];
  for (const { minC, maxC } of buckets) {
    least = Math.min(least, minC);
    most = Math.max(most, maxC);
  }
  let [low, high] = [toUnits(least, units), toUnits(most, units)];
  const lacking = leastSpanUnits - (high - low);
  if (lacking > 0) [low, high] = [low - lacking / 2, high + lacking / 2];
  const room = (high - low) * 0.08;
  [low, high] = [low - room, high + room];
  const size = stepSizes.find((each) => (high - low) / each <= stepsMost + 1) ?? 200;
  const steps: number[] = [];
  for (let step = Math.ceil(low / size) * size; step <= high; step += size) steps.push(step);
  return { low, high, steps };
}
