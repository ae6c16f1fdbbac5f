/** The sentence that stands for a chart where it cannot be seen. Pure. */

import type { WatchView } from '../../../shared/contract/api.ts';
import type { KeepView } from '../../../shared/contract/keep-view.ts';
import { keptIn } from '../../../shared/sentences/keep-words.ts';
import {
  clockText,
  limitText,
  milkText,
  nameOf,
  type Speech,
  spanName,
} from '../../../shared/sentences/speech.ts';
import { formatTemp } from '../../../shared/units/format.ts';
import type { Curve } from '../feed/curve.ts';
import { keepLimitC, keptDegrees } from '../words/shown.ts';

/** Says what a chill's chart shows: the measured run, what is to come with its interval, what is wanted by when. */
export function describeChill(view: WatchView, curve: Curve, speech: Speech): string {
  const parts = [seenPart(view, curve, speech), comingPart(view, speech)].filter((part) => part !== null);
  const { deadlineMs, limitC } = view.window;
  const wanted = `wanted: ${limitText(limitC, speech)} and under by ${clockText(deadlineMs, speech)}`;
  return `${nameOf(speech, view.probe)}: ${[...parts, wanted].join('; ')}.`;
}

function seenPart(view: WatchView, curve: Curve, speech: Speech): string | null {
  const first = curve.points.find((point) => point.atMs >= view.sinceMs);
  const { latest } = view;
  if (latest === null) return null;
  const { units } = speech;
  const last = `${formatTemp(latest.tempC, { units })} at ${clockText(latest.atMs, speech)}`;
  if (first === undefined || first.atMs >= latest.atMs) return last;
  const way = latest.tempC < first.tempC ? 'falling' : 'rising';
  return `from ${formatTemp(first.tempC, { units })} at ${clockText(first.atMs, speech)} ${way} to ${last}`;
}

function comingPart(view: WatchView, speech: Speech): string | null {
  const limit = limitText(view.window.limitC, speech);
  if (view.crossedAtMs !== null) return `under ${limit} at ${clockText(view.crossedAtMs, speech)}`;
  if (view.forecast === null) return null;
  const { atDeadline, crossing } = view.forecast;
  const said: string[] = [];
  if (atDeadline !== null) {
    const then = milkText(atDeadline.p50, view.window.limitC, speech);
    said.push(`${then} at ${clockText(view.window.deadlineMs, speech)}`);
  }
  if (crossing.p50 !== null)
    said.push(`${limit} near ${clockText(crossing.p50, speech)}${between(crossing, speech)}`);
  return said.length === 0 ? null : `forecast ${said.join(' and ')}`;
}

function between({ p10, p90 }: { p10: number | null; p90: number | null }, speech: Speech): string {
  if (p10 === null) return '';
  if (p90 === null) return `, not before ${clockText(p10, speech)}`;
  return `, between ${clockText(p10, speech)} and ${clockText(p90, speech)}`;
}

/** Says what a keep's chart shows: the milk now, the warmest of the day, where it is going, what is wanted. */
export function describeKeep(view: KeepView, speech: Speech): string {
  const limitC = keepLimitC(view);
  const parts: string[] = [];
  const degrees = keptDegrees(view, speech.units);
  if (degrees !== null && view.latest !== null)
    parts.push(
      `${keptIn(view.window)} at ${degrees} °${speech.units} at ${clockText(view.latest.atMs, speech)}`,
    );
  if (limitC !== null && view.side !== 'cold' && view.day.milkMostC > -200)
    parts.push(`${milkText(view.day.milkMostC, limitC, speech)} at the most in the last day`);
  const keeping = view.state === 'keeping';
  const crossing = keeping ? view.ifPowerWent?.crossing : view.forecast?.crossing;
  if (limitC !== null && view.state !== 'left' && crossing && crossing.p50 !== null) {
    const when = `near ${clockText(crossing.p50, speech)}${between(crossing, speech)}`;
    parts.push(`${keeping ? 'if the power went now' : 'forecast'} ${limitText(limitC, speech)} ${when}`);
  }
  if (limitC !== null)
    parts.push(`wanted: ${limitText(limitC, speech)} and ${view.side === 'cold' ? 'above' : 'under'}`);
  return `${nameOf(speech, view.probe)}: ${parts.join('; ')}.`;
}

/** Says what the chart of an empty house shows. */
export function describeEmpty(
  { limitC, spanMs }: { limitC: number; spanMs: number },
  speech: Speech,
): string {
  return `The window that the next milk will have: ${limitText(limitC, speech)} and under within the ${spanName(spanMs).name} after milking.`;
}
