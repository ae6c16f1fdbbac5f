/** Small texts of the page that are no sentences: figures, times and places as they are shown. */

import type { HouseView, ProbeView } from '../../../shared/contract/api.ts';
import type { ChillWindow } from '../../../shared/contract/event.ts';
import type { InstantQuantiles } from '../../../shared/contract/forecast.ts';
import type { KeepView } from '../../../shared/contract/keep-view.ts';
import { clockText, limitText, nameOf, type Speech, spanName } from '../../../shared/sentences/speech.ts';
import { formatDegrees, formatTempDiff } from '../../../shared/units/format.ts';

/** The window a chill has unless told otherwise: 40 °F within the hour. */
export const usualWindow = { limitC: 40 / 9, spanMs: 3_600_000 };

/** How near a limit a figure gets its tenths and is rounded to the side that has not met it, °C. */
const nearLimitC = 1.5;

/** Up to this uncertainty, °C, tenths mean something. */
const tenthsUpToC = 0.3;

/** A watched temperature without its unit; tenths only where the probe is that sure, or near the limit. */
export function watchedDegrees(
  tempC: number,
  { limitC, marginC, units }: { limitC: number; marginC: number; units: Speech['units'] },
): string {
  if (Math.abs(tempC - limitC) < nearLimitC) {
    return formatDegrees(tempC, { units, digits: 1, nearLimit: { limitC, side: 'under' } });
  }
  return formatDegrees(tempC, { units, digits: marginC <= tenthsUpToC ? 1 : 0 });
}

/** The slowest change that is called falling or rising, °C a minute. */
const steadyCPerMin = 0.03;

/** How fast it changes: `falling 0.7 °F a minute`; null where that is not known. */
export function rateText(rateCPerMin: number | null, units: Speech['units']): string | null {
  if (rateCPerMin === null) return null;
  if (Math.abs(rateCPerMin) < steadyCPerMin) return 'steady';
  const way = rateCPerMin < 0 ? 'falling' : 'rising';
  return `${way} ${formatTempDiff(Math.abs(rateCPerMin), { units })} a minute`;
}

/** The interval of a forecast instant: `8:25–8:41`, `after 8:25` where it may be never; null where nothing is known. */
export function intervalText({ p10, p90 }: InstantQuantiles, speech: Speech): string | null {
  if (p10 === null) return null;
  if (p90 === null) return `after ${clockText(p10, speech)}`;
  return `${clockText(p10, speech)}–${clockText(p90, speech)}`;
}

/** The same in words: `between 8:25 and 8:41`. */
export function betweenText(crossing: InstantQuantiles, speech: Speech): string | null {
  const interval = intervalText(crossing, speech);
  return interval?.includes('–') ? `between ${interval.replace('–', ' and ')}` : interval;
}

/** The limit of a keep that matters now: the one that it leaves by, else the warm one; null where it has none. */
export function keepLimitC({ side, window }: Pick<KeepView, 'side' | 'window'>): number | null {
  if (side === 'cold') return window.lowC;
  return window.highC ?? window.lowC;
}

/** The milk of a keep as a figure: tenths only where it is that well known, or measured near the limit. */
export function keptDegrees(view: KeepView, units: Speech['units']): string | null {
  const { inVessel, latest, marginC, milk } = view;
  const limitC = keepLimitC(view) ?? Number.POSITIVE_INFINITY;
  if (inVessel && latest !== null) return watchedDegrees(latest.tempC, { limitC, marginC, units });
  if (milk === null) return null;
  const doubtC = Math.max(milk.p50 - milk.p10, milk.p90 - milk.p50);
  return watchedDegrees(milk.p50, { limitC, marginC: doubtC, units });
}

/** What is wanted, from the longest to the shortest that still says it. */
export function wantedTexts(limitC: number, speech: Speech, side: 'under' | 'above' = 'under'): string[] {
  const limit = limitText(limitC, speech);
  const figure = limit.replace(/\s*°[FC]$/, '');
  return [`wanted: ${limit} and ${side}`, `${limit} and ${side}`, `${figure} and ${side}`];
}

/** The limit's figure alone, as the axis shows it. */
export function limitFigure(limitC: number, speech: Speech): string {
  return limitText(limitC, speech).replace(/\s*°[FC]$/, '');
}

/** What a window's span is called where there is little room: the hour where it is one, else the time. */
export function windowName(spanMs: number): string {
  const { name } = spanName(spanMs);
  return name === 'hour' ? name : 'time';
}

/** What stands at the head of the post, from the longest to the shortest. */
export function postTexts(window: ChillWindow, speech: Speech): string[] {
  const name = windowName(window.spanMs);
  const at = clockText(window.deadlineMs, speech);
  return [`${at} the ${name} is up`, `${at} ${name} up`, at];
}

/** Where the vessel stands, to follow a name: `in the chest freezer`; null where that is not known. */
export function placeText(place: ProbeView['place']): string | null {
  if (place === null) return null;
  return `${place.kind === 'pot' ? 'on' : 'in'} ${withArticle(place.name)}`;
}

function withArticle(name: string): string {
  // A name that belongs to somebody, or is written in capitals, is left as it was typed.
  if (/[’']/.test(name) || !/^\p{Lu}\p{Ll}/u.test(name)) return name;
  return `the ${name.charAt(0).toLowerCase()}${name.slice(1)}`;
}

/** A speech in which the probe of a keep goes by its place's name: a hand is wanted at the place, in `the larder fridge`. */
export function placeSpeech(
  view: KeepView,
  { places, speech }: { places: HouseView['places']; speech: Speech },
): Speech {
  const place = places.find(({ id }) => id === view.place);
  const looksAtProbe = view.state === 'silent' || view.state === 'doubted';
  if (place === undefined || looksAtProbe) return speech;
  return { ...speech, names: { ...speech.names, [view.probe]: withArticle(place.name) } };
}

/** What a keep is called, and by which probe it is judged: `Larder fridge`, `by Larder water jar`. */
export function byProbe(
  view: KeepView,
  { places, speech }: { places: HouseView['places']; speech: Speech },
): { name: string; by: string } {
  const probe = nameOf(speech, view.probe);
  const name = places.find(({ id }) => id === view.place)?.name ?? probe;
  if (name === probe) return { name, by: view.inVessel ? 'by its jar' : 'by its air' };
  return { name, by: `by ${probe}` };
}

/** From what the hour counts: `the end of milking at 6:42`. */
export function countsFromText(window: ChillWindow, speech: Speech): string {
  const counts = `The ${windowName(window.spanMs)} counts from ${clockText(window.originMs, speech)}`;
  switch (window.origin) {
    case 'milking':
      return `${counts}, the end of milking.`;
    case 'insertion':
      return `${counts}, when the milk went in.`;
    case 'word':
      return `${counts}, when you began it.`;
    case 'first-reading':
      return `${counts}, the first reading.`;
    default:
      return window.origin satisfies never;
  }
}
