/** A pot on its way up, or what is held in it, to what its chart shows. Pure. */

import type { HeatView, HoldView } from '../../../shared/contract/pot-view.ts';
import { clockText, type Speech } from '../../../shared/sentences/speech.ts';
import { toUnits } from '../../../shared/units/format.ts';
import { type Curve, heardGapMs, heardRuns, heardSpans } from '../feed/curve.ts';
import { limitFigure, wantedTexts } from '../words/shown.ts';
import { crossingMark } from './crossing-mark.ts';
import type { AheadPoint, Frame, Scene } from './scene.ts';
import { tempStepsBeside } from './steps.ts';

export type PotPicture = {
  view: HeatView | HoldView;
  curve: Curve;
  intervalMs: number | null;
  speech: Speech;
  nowMs: number;
  live: boolean;
};

const minuteMs = 60_000;
/** How much of the past is shown at most, and before a hold, so that its climb is seen. */
const pastMostMs = 90 * minuteMs;
const beforeHoldMs = 15 * minuteMs;
const aheadLeastMs = 10 * minuteMs;
/** Depth of the wanted ground over the target, as a share of the chart. */
const groundShare = 0.2;

/** Draws up the chart of a pot for a room of this size. */
export function potScene(picture: PotPicture, frame: Frame): Scene {
  const { curve, intervalMs, live, nowMs, speech, view } = picture;
  const limitC = view.kind === 'heat' ? view.window.limitC : view.window.lowC;
  const target = toUnits(limitC, speech.units);
  const span = timeSpan(picture);
  const shown = curve.points.filter(({ atMs }) => atMs >= span.fromMs && atMs <= span.toMs);
  const runs = heardRuns(shown, heardGapMs(curve, intervalMs));
  const seen = runs.map((run) =>
    run.map(({ atMs, tempC }) => ({ atMs, value: toUnits(tempC, speech.units) })),
  );
  const last = seen.at(-1)?.at(-1) ?? null;
  const ahead = aheadOf(view, speech, last);
  const values = [
    ...seen.flatMap((run) => run.map(({ value }) => value)),
    ...ahead.filter(({ atMs }) => atMs <= span.toMs).flatMap(({ high, low }) => [low, high]),
  ];
  const low = Math.min(target - 2, ...values);
  const most = Math.max(target, ...values);
  const high = most + Math.max((most - low) * groundShare, 1);
  return {
    frame,
    ...span,
    low,
    high,
    steps: tempStepsBeside(target, { low, high }, (high - low) * 0.09).slice(frame.row ? -1 : 0),
    target: {
      value: target,
      figure: limitFigure(limitC, speech),
      wanted: wantedTexts(limitC, speech, 'above'),
      side: 'above',
    },
    wantsWarmth: true,
    air: null,
    notes: [],
    window: windowOf(view, speech),
    seen,
    ahead,
    aheadNames: ['as it is going'],
    heard: heardSpans(runs),
    now: { atMs: nowMs, names: [`now ${clockText(nowMs, speech)}`, 'now'] },
    dot: last === null ? null : { ...last, heard: live && view.state !== 'silent', names: [], spread: null },
    ring: null,
    crossing: view.kind === 'heat' ? crossingMark(view, speech) : null,
    rescue: null,
    times: { kind: 'clock', zone: speech.zone },
  };
}

function timeSpan({ curve, nowMs, view }: PotPicture): { fromMs: number; toMs: number } {
  const sinceMs = view.kind === 'hold' ? (view.heldSinceMs ?? view.sinceMs) - beforeHoldMs : view.sinceMs;
  const firstMs = Math.max(sinceMs, nowMs - pastMostMs, curve.points[0]?.atMs ?? sinceMs);
  const comingMs =
    view.kind === 'hold'
      ? view.provesAtMs
      : (view.forecast?.crossing.p90 ?? view.forecast?.crossing.p50 ?? null);
  const toMs = Math.max(nowMs + aheadLeastMs, Math.min(comingMs ?? 0, nowMs + 2 * pastMostMs) + 5 * minuteMs);
  return {
    fromMs: Math.floor(Math.min(firstMs, nowMs - 2 * minuteMs) / minuteMs) * minuteMs,
    toMs: Math.ceil(toMs / minuteMs) * minuteMs,
  };
}

function aheadOf(
  view: HeatView | HoldView,
  speech: Speech,
  last: { atMs: number; value: number } | null,
): AheadPoint[] {
  if (last === null) return [];
  const path = (view.forecast?.path ?? []).filter(({ atMs }) => atMs > last.atMs);
  if (path.length === 0) return [];
  const points = path.map(({ atMs, p10C, p50C, p90C }) => ({
    atMs,
    low: toUnits(p10C, speech.units),
    mid: toUnits(p50C, speech.units),
    high: toUnits(p90C, speech.units),
  }));
  return [{ atMs: last.atMs, low: last.value, mid: last.value, high: last.value }, ...points];
}

/** The window of a hold, with its post where it will be proved; a heat has no post. */
function windowOf(view: HeatView | HoldView, speech: Speech): Scene['window'] {
  if (view.kind === 'heat' || view.heldSinceMs === null || view.provesAtMs === null) return null;
  const at = clockText(view.provesAtMs, speech);
  return { fromMs: view.heldSinceMs, toMs: view.provesAtMs, names: [`${at} proved`, at] };
}
