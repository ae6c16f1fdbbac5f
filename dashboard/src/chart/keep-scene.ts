/** A keep to what its chart shows: hours of a cold place, what went on, and where its milk is going. Pure. */

import type { KeepCause, KeepNote } from '../../../shared/contract/keep.ts';
import type { KeepView } from '../../../shared/contract/keep-view.ts';
import { isFreezing, keptIn, noteName } from '../../../shared/sentences/keep-words.ts';
import { clockText, type Speech } from '../../../shared/sentences/speech.ts';
import { formatSpan, toUnits } from '../../../shared/units/format.ts';
import { type Curve, emptyCurve, heardGapMs, heardRuns, heardSpans } from '../feed/curve.ts';
import { keepPastMs } from '../feed/house-state.ts';
import { keepLimitC, limitFigure, wantedTexts } from '../words/shown.ts';
import { crossingMark } from './crossing-mark.ts';
import type { AheadPoint, Frame, RescueLine, Scene, SceneNote, SeenPoint } from './scene.ts';
import { tempStepsBeside } from './steps.ts';

export type KeepPicture = {
  view: KeepView;
  curve: Curve;
  intervalMs: number | null;
  /** What another probe tells of the air in the same place; null where there is none. */
  air: { curve: Curve; intervalMs: number | null } | null;
  speech: Speech;
  nowMs: number;
  live: boolean;
};

const hourMs = 3_600_000;

/** How much of the past is shown at most: a row and a phone have less room. */
const pastMs = { full: keepPastMs, phone: 5 * hourMs, row: 6 * hourMs };

/** How much of the past is shown at least. */
const pastLeastMs = hourMs / 2;

/** Below this width a chart is on a phone, px. */
const phonePx = 520;

/** How much of the past's span the time to come has: at least, and where a crossing is to be seen. */
const aheadShare = { least: 0.22, most: 0.75 };

/** Draws up the chart of a keep for a room of this size. */
export function keepScene(picture: KeepPicture, frame: Frame): Scene {
  const { nowMs, speech, view } = picture;
  const span = timeSpan(picture, frame);
  const own = runsOf(picture, picture, span);
  const air = view.inVessel ? picture.air && runsOf(picture, picture.air, span) : own;
  const seen = view.inVessel ? own : [];
  const dot = dotOf(picture, seen);
  const ahead = aheadOf(view, dot, speech);
  const rescue = frame.row || ahead.length > 0 ? null : powerLine(picture, dot);
  const limitC = keepLimitC(view) ?? 0;
  const target = toUnits(limitC, speech.units);
  const side = view.side === 'cold' || view.window.highC === null ? 'above' : 'under';
  const values = [
    ...[...seen, ...(air ?? [])].flatMap((run) => run.map(({ value }) => value)),
    ...ahead.filter(({ atMs }) => atMs <= span.toMs).flatMap(({ high, low }) => [low, high]),
    ...(rescue?.line.filter(({ atMs }) => atMs <= span.toMs).map(({ value }) => value) ?? []),
    ...(dot === null ? [] : [dot.value, dot.spread?.low ?? dot.value, dot.spread?.high ?? dot.value]),
  ];
  return {
    frame,
    ...span,
    ...heights({ target, side, values }, frame),
    target: {
      value: target,
      figure: limitFigure(limitC, speech),
      wanted: wantedTexts(limitC, speech, side),
      side,
    },
    window: null,
    seen,
    air: air === null || air.length === 0 ? null : { runs: air, names: ['the air'] },
    notes: view.notes.flatMap((note) => noteOf(note, { nowMs, speech }) ?? []),
    ahead,
    aheadNames: ['as it is going'],
    heard: heardSpans([...own]),
    now: { atMs: nowMs, names: [`now ${clockText(nowMs, speech)}`, 'now'] },
    dot,
    ring: null,
    crossing:
      ahead.length > 0 && view.state !== 'left'
        ? crossingMark({ crossedAtMs: null, forecast: view.forecast }, speech)
        : null,
    rescue,
    times: { kind: 'clock', zone: speech.zone },
  };
}

function timeSpan({ nowMs, view }: KeepPicture, frame: Frame): { fromMs: number; toMs: number } {
  const most = frame.row ? pastMs.row : frame.width < phonePx ? pastMs.phone : pastMs.full;
  const past = Math.min(most, Math.max(pastLeastMs, nowMs - view.sinceMs));
  const crossing = view.state === 'keeping' ? view.ifPowerWent?.crossing : view.forecast?.crossing;
  const last = crossing?.p90 ?? crossing?.p50 ?? nowMs;
  const wanted = frame.row && view.state === 'keeping' ? 0 : (last - nowMs) * 1.12;
  const ahead = Math.min(past * aheadShare.most, Math.max(past * aheadShare.least, wanted));
  return { fromMs: nowMs - past, toMs: nowMs + ahead };
}

type Run = { atMs: number; tempC: number; value: number }[];

function runsOf(
  { nowMs, speech }: KeepPicture,
  { curve, intervalMs }: { curve: Curve; intervalMs: number | null },
  { fromMs }: { fromMs: number },
): Run[] {
  const points = (curve ?? emptyCurve).points.filter(({ atMs }) => atMs >= fromMs && atMs <= nowMs + hourMs);
  return heardRuns(points, heardGapMs(curve, intervalMs)).map((run) =>
    run.map(({ atMs, tempC }) => ({ atMs, tempC, value: toUnits(tempC, speech.units) })),
  );
}

function dotOf(
  { air, live, speech, view }: KeepPicture,
  seen: readonly (readonly SeenPoint[])[],
): Scene['dot'] {
  const { inVessel, latest, milk } = view;
  if (latest === null) return null;
  const heard = live && view.state !== 'silent';
  const at = clockText(latest.atMs, speech);
  const lost = [`${at} last heard`, at];
  const show = (tempC: number) => toUnits(tempC, speech.units);
  if (inVessel) {
    const drawn = seen.at(-1)?.at(-1);
    const atMs = Math.max(latest.atMs, drawn?.atMs ?? 0);
    const names = heard ? (air === null ? [] : [keptIn(view.window)]) : lost;
    return { atMs, value: show(latest.tempC), heard, names, spread: null };
  }
  if (milk === null) return null;
  const spread = { low: show(milk.p10), high: show(milk.p90) };
  const jar = isFreezing(view.window) ? 'what is in it, by the air' : 'a jar in it, by the air';
  const names = heard ? [jar, keptIn(view.window)] : lost;
  return { atMs: latest.atMs, value: show(milk.p50), heard, names, spread };
}

/** The forecast of a keep that leaves or has left; what keeps is expected to go on as it does. */
function aheadOf(view: KeepView, dot: Scene['dot'], { units }: Speech): AheadPoint[] {
  const path = view.state === 'keeping' ? [] : (view.forecast?.path ?? []);
  if (path.length === 0) return [];
  const points = path.map(({ atMs, p10C, p50C, p90C }) => ({
    atMs,
    low: toUnits(p10C, units),
    mid: toUnits(p50C, units),
    high: toUnits(p90C, units),
  }));
  if (dot === null) return points;
  const { low, high } = dot.spread ?? { low: dot.value, high: dot.value };
  return [{ atMs: dot.atMs, low, mid: dot.value, high }, ...points.filter(({ atMs }) => atMs > dot.atMs)];
}

/** If the power went now: the dotted line of a keep that keeps. */
function powerLine({ speech, view }: KeepPicture, dot: Scene['dot']): RescueLine | null {
  if (view.ifPowerWent === null || view.state !== 'keeping') return null;
  const { crossing, path } = view.ifPowerWent;
  const { p10, p50, p90 } = crossing;
  const start = dot === null ? [] : [{ atMs: dot.atMs, value: dot.value }];
  // Beyond its crossing it would only stretch the chart.
  const endMs = (p90 ?? Number.POSITIVE_INFINITY) + 10 * 60_000;
  const points = path
    .filter(({ atMs }) => atMs <= endMs && (dot === null || atMs > dot.atMs))
    .map(({ atMs, p50C }) => ({ atMs, value: toUnits(p50C, speech.units) }));
  return {
    line: [...start, ...points],
    names: ['if the power went now', 'if power went'],
    crossing:
      p50 === null
        ? null
        : { kind: 'forecast', atMs: p50, lowMs: p10, highMs: p90, text: clockText(p50, speech) },
    latest: null,
  };
}

type NoteShape = { kind: SceneNote['kind']; timed: boolean } | null;

function shapeOf(cause: KeepCause): NoteShape {
  switch (cause) {
    case 'door-open':
      return { kind: 'stalk', timed: true };
    case 'defrost':
    case 'warm-load':
      return { kind: 'stalk', timed: false };
    case 'power-off':
    case 'cooling-stopped':
    case 'door-ajar':
    case 'failing':
    case 'warming':
    case 'too-cold':
      return { kind: 'hatch', timed: false };
    case 'settling':
    case 'usual':
      return null;
    default:
      return cause satisfies never;
  }
}

function noteOf(
  { cause, fromMs, toMs }: KeepNote,
  { nowMs, speech }: { nowMs: number; speech: Speech },
): SceneNote | null {
  const shape = shapeOf(cause);
  if (shape === null) return null;
  const name = noteName(cause).toLowerCase();
  const endMs = toMs ?? nowMs;
  const timed = `${name} ${shortSpan(endMs - fromMs)}`;
  const span = `${name} ${clockText(fromMs, speech)}–${toMs === null ? '' : clockText(toMs, speech)}`;
  const names = shape.timed ? [timed, name] : shape.kind === 'hatch' ? [span, name] : [name];
  return { kind: shape.kind, fromMs, toMs: endMs, names };
}

/** A span where there is little room: `45 s`, `12 min`, `1 h 10 min`. */
export function shortSpan(spanMs: number): string {
  return formatSpan(spanMs)
    .replace(/ days?/, ' d')
    .replace(/ hours?/, ' h')
    .replace(/ minutes?/, ' min')
    .replace(/ seconds?/, ' s');
}

/** The least depth of the wanted ground, so that words fit in it, px. */
const groundPx = { full: 42, row: 24 };

/** How near the target another figure of the axis may stand, px. */
const figureClearPx = 22;

function heights(
  { side, target, values }: { target: number; side: 'under' | 'above'; values: readonly number[] },
  frame: Frame,
): Pick<Scene, 'low' | 'high' | 'steps'> {
  const plotPx = Math.max(60, frame.height - frame.top - frame.bottom);
  const depth = (frame.row ? groundPx.row : groundPx.full) / plotPx;
  let low = Math.min(target - 1, ...values);
  let high = Math.max(target + 1, ...values);
  const air = (high - low) * 0.08;
  low -= air;
  high += air;
  // The wanted side must be deep enough for its words.
  if (side === 'under') low = Math.min(low, (target - depth * high) / (1 - depth));
  else high = Math.max(high, (target - depth * low) / (1 - depth));
  const clear = ((high - low) * figureClearPx) / plotPx;
  return { low, high, steps: frame.row ? [] : tempStepsBeside(target, { low, high }, clear) };
}
