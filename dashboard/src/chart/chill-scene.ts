/** A chill watch, or the want of one, to what its chart shows. Pure. */

import type { WatchView } from '../../../shared/contract/api.ts';
import { clockText, milkText, type Speech } from '../../../shared/sentences/speech.ts';
import { toUnits } from '../../../shared/units/format.ts';
import { type Curve, heardGapMs, heardRuns, heardSpans } from '../feed/curve.ts';
import { limitFigure, postTexts, wantedTexts, windowName } from '../words/shown.ts';
import { crossingMark } from './crossing-mark.ts';
import { rescueLine } from './rescue-line.ts';
import type { AheadPoint, Frame, Scene, SeenPoint } from './scene.ts';
import { tempSteps } from './steps.ts';

export type ChillPicture = {
  view: WatchView;
  curve: Curve;
  /** The probe's own rhythm; null where not known. */
  intervalMs: number | null;
  speech: Speech;
  nowMs: number;
  /** False where the last reading must not look live. */
  live: boolean;
  /** The name of the dashed line, from the longest to the shortest. */
  aheadNames: readonly string[];
};

const minuteMs = 60_000;
const edgeMs = 5 * minuteMs;

/** How much of the time after its window a chart may show, in windows: a later crossing stands in words only. */
const windowsMax = 4;

/** Draws up the chart of a chill for a room of this size. */
export function chillScene(picture: ChillPicture, frame: Frame): Scene {
  const { curve, intervalMs, nowMs, speech, view } = picture;
  const { window } = view;
  const span = timeSpan(picture);
  // Before the milk went in the probe was in air: that is no part of the curve.
  const shown = curve.points.filter((point) => point.atMs >= view.sinceMs && point.atMs <= span.toMs);
  const runs = heardRuns(shown, heardGapMs(curve, intervalMs));
  const seen = runs.map((run) =>
    run.map(({ atMs, tempC }) => ({ atMs, value: toUnits(tempC, speech.units) })),
  );
  const last = lastSeen(picture, seen);
  const ahead = aheadOf(view, last, speech);
  const target = toUnits(window.limitC, speech.units);
  const values = [
    ...seen.flatMap((run) => run.map((point) => point.value)),
    ...ahead.filter((point) => point.atMs <= span.toMs).flatMap((point) => [point.low, point.high]),
  ];
  return {
    frame,
    ...span,
    ...heights(target, values, frame),
    target: {
      value: target,
      figure: limitFigure(window.limitC, speech),
      wanted: wantedTexts(window.limitC, speech),
      side: 'under',
    },
    air: null,
    notes: [],
    window: { fromMs: window.originMs, toMs: window.deadlineMs, names: postTexts(window, speech) },
    seen,
    ahead,
    aheadNames: picture.aheadNames,
    heard: heardSpans(runs),
    now: { atMs: nowMs, names: [`now ${clockText(nowMs, speech)}`, 'now'] },
    dot: last && dotOf(last, picture),
    ring: ringOf(picture, seen),
    crossing: crossingMark(view, speech),
    // A row has no room to name a second way: its sentence tells of it.
    rescue: frame.row ? null : rescueLine(picture, { ahead, last }),
    times: { kind: 'clock', zone: speech.zone },
  };
}

/** Draws up the chart of an empty house: the window that the next milk will have, in minutes after milking. */
export function emptyScene(
  { limitC, spanMs, speech }: { limitC: number; spanMs: number; speech: Speech },
  frame: Frame,
): Scene {
  const target = toUnits(limitC, speech.units);
  return {
    frame,
    fromMs: 0,
    toMs: spanMs * 1.5,
    ...heights(target, [toUnits(37, speech.units)], frame),
    target: {
      value: target,
      figure: limitFigure(limitC, speech),
      wanted: wantedTexts(limitC, speech),
      side: 'under',
    },
    air: null,
    notes: [],
    window: { fromMs: 0, toMs: spanMs, names: [`the ${windowName(spanMs)}`] },
    seen: [],
    ahead: [],
    aheadNames: [],
    heard: [],
    now: null,
    dot: null,
    ring: null,
    crossing: null,
    rescue: null,
    times: { kind: 'since', fromMs: 0, name: 'milked' },
  };
}

function timeSpan({ nowMs, view }: ChillPicture): { fromMs: number; toMs: number } {
  const { window } = view;
  const firstMs = Math.min(window.originMs, view.sinceMs);
  const crossing = view.crossedAtMs === null ? view.forecast?.crossing : undefined;
  const farMs = Math.min(
    window.originMs + windowsMax * window.spanMs,
    crossing?.p90 ?? crossing?.p50 ?? window.deadlineMs,
  );
  const toMs = Math.max(window.deadlineMs, farMs, nowMs) + 2 * edgeMs;
  return {
    fromMs: Math.floor((firstMs - minuteMs / 2) / edgeMs) * edgeMs,
    toMs: Math.ceil(toMs / minuteMs) * minuteMs,
  };
}

/** The depth of the wanted ground, so that words fit in it, px. */
const groundPx = { full: 42, row: 24 };

/** How near the target another figure of the axis may stand, px. */
const figureClearPx = 22;

function heights(
  target: number,
  values: readonly number[],
  frame: Frame,
): Pick<Scene, 'low' | 'high' | 'steps'> {
  const plotPx = Math.max(60, frame.height - frame.top - frame.bottom);
  const depthPx = frame.row ? groundPx.row : groundPx.full;
  const highest = Math.max(target + 1, ...values);
  const clear = ((highest - target) * figureClearPx) / (plotPx - depthPx);
  const steps = tempSteps(target, highest, clear);
  const high = steps.at(-1) ?? highest;
  const depth = ((high - target) * depthPx) / (plotPx - depthPx);
  const lowest = Math.min(target, ...values);
  return {
    low: Math.min(target - depth, lowest - depth / 6),
    high,
    steps: frame.row ? steps.slice(-1) : steps,
  };
}

function lastSeen({ view, speech }: ChillPicture, seen: readonly (readonly SeenPoint[])[]): SeenPoint | null {
  const drawn = seen.at(-1)?.at(-1) ?? null;
  if (view.latest === null || (drawn !== null && drawn.atMs >= view.latest.atMs)) return drawn;
  return { atMs: view.latest.atMs, value: toUnits(view.latest.tempC, speech.units) };
}

/** The forecast path from the last reading on; it starts in the reading itself, so the two lines join. */
function aheadOf(view: WatchView, last: SeenPoint | null, { units }: Speech): AheadPoint[] {
  const path = view.forecast?.path ?? [];
  if (path.length === 0 || view.state === 'made' || view.state === 'late') return [];
  const points = path.map(({ atMs, p10C, p50C, p90C }) => ({
    atMs,
    low: toUnits(p10C, units),
    mid: toUnits(p50C, units),
    high: toUnits(p90C, units),
  }));
  if (last === null) return points;
  const joined = { atMs: last.atMs, low: last.value, mid: last.value, high: last.value };
  return [joined, ...points.filter((point) => point.atMs > last.atMs)];
}

function dotOf(last: SeenPoint, { live, speech, view }: ChillPicture): NonNullable<Scene['dot']> {
  const heard = live && view.state !== 'silent';
  const at = clockText(last.atMs, speech);
  return { ...last, heard, names: heard ? [] : [`${at} last heard`, at], spread: null };
}

function ringOf({ speech, view }: ChillPicture, seen: readonly (readonly SeenPoint[])[]): Scene['ring'] {
  const { deadlineMs, limitC } = view.window;
  if (view.atDeadlineC !== null) {
    const drawn = seen.some(
      (run) => (run[0]?.atMs ?? 0) <= deadlineMs && (run.at(-1)?.atMs ?? 0) >= deadlineMs,
    );
    if (!drawn || view.state === 'made') return null;
    return ring(view.atDeadlineC, false);
  }
  const then = view.forecast?.atDeadline?.p50;
  if (then === undefined || view.state === 'made') return null;
  return ring(then, true);

  function ring(tempC: number, forecast: boolean): NonNullable<Scene['ring']> {
    return {
      atMs: deadlineMs,
      value: toUnits(tempC, speech.units),
      forecast,
      text: milkText(tempC, limitC, speech),
    };
  }
}
