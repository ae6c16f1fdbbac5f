/** What the history says in words: its sentence, its instants, its files and its mirrors. Pure. */

import type { DiskView, MirrorView } from '../../../shared/contract/api.ts';
import { formatClock, formatDate, formatSpan, formatTemp, type Units } from '../../../shared/units/format.ts';
import { openWall } from './calendar-marks.ts';
import type { SpanSum } from './envelope.ts';
import type { ViewSpan } from './view-span.ts';

const dayMs = 86_400_000;

/** An instant as exactly as its span wants it: with seconds in minutes, as a day in months. */
export function clockOrDate(atMs: number, { fromMs, toMs }: ViewSpan, zone: string): string {
  const spanMs = toMs - fromMs;
  if (spanMs > 60 * dayMs) return dateText(atMs, zone);
  const clock = spanMs < 3_600_000 ? secondsText(atMs, zone) : formatClock(atMs, zone);
  return spanMs > dayMs ? `${dateText(atMs, zone)}, ${clock}` : clock;
}

/** A day with its year: `18 April 2026`. */
export function dateText(atMs: number, zone: string): string {
  const [, day = '', month = ''] = formatDate(atMs, zone).split(' ');
  return `${day} ${month} ${new Date(openWall(zone).ms(atMs)).getUTCFullYear()}`;
}

function secondsText(atMs: number, zone: string): string {
  return openWall(zone).time(atMs, 1_000);
}

/** From when to when, to stand over the picture: days alone where the span is long. */
export function spanText(span: ViewSpan, zone: string): string {
  const { fromMs, toMs } = span;
  const [from, to] = [dateText(fromMs, zone), dateText(toMs, zone)];
  const clock = (atMs: number) =>
    toMs - fromMs < 600_000 ? secondsText(atMs, zone) : formatClock(atMs, zone);
  if (toMs - fromMs > 14 * dayMs) return `${from} to ${to}`;
  if (from === to) return `${from}, ${clock(fromMs)} to ${clock(toMs)}`;
  return `${from}, ${clock(fromMs)} to ${to}, ${clock(toMs)}`;
}

/** The sentence of a span: its least and most, what was not heard, and what the file has lost by damage. */
export function sumSentence(
  sum: SpanSum | null,
  { units, damagedMs }: { units: Units; damagedMs: number },
): { say: string; or: string } {
  const damaged =
    damagedMs === 0
      ? ''
      : `Readings of ${formatSpan(damagedMs)} are damaged in the file: springhouse history verify says what to do.`;
  if (sum === null) return { say: 'No reading in this span.', or: damaged };
  const temp = (tempC: number) => formatTemp(tempC, { units });
  const say =
    temp(sum.minC) === temp(sum.maxC)
      ? `${temp(sum.minC)} all the while.`
      : `From ${temp(sum.minC)} to ${temp(sum.maxC)}.`;
  const heard =
    sum.gaps === 0
      ? 'Heard throughout.'
      : `Not heard for ${formatSpan(sum.gapMs)}${sum.gaps === 1 ? '' : `, in ${sum.gaps} pieces`}.`;
  return { say, or: `Mean ${temp(sum.meanC)}. ${heard} ${damaged}`.trim() };
}

/** A count with its thousands parted: `31,536,000`. */
export function countText(count: number): string {
  return String(Math.round(count)).replace(/\B(?=(\d{3})+$)/g, ',');
}

/** Bytes as people count them on disks: `41.2 MB`. */
export function bytesText(bytes: number): string {
  const units = ['B', 'kB', 'MB', 'GB', 'TB'];
  let size = bytes;
  let unit = 0;
  while (size >= 1000 && unit < units.length - 1) {
    size /= 1000;
    unit += 1;
  }
  return `${unit === 0 || size >= 100 ? Math.round(size) : size.toFixed(1)}\u00a0${units[unit]}`;
}

/** What the files take, line by line: what, and how much. */
export function diskLines({ historyBytes, recordBytes, freeBytes }: DiskView): [string, string][] {
  return [
    ['Readings', bytesText(historyBytes)],
    ['Record', bytesText(recordBytes)],
    ['Free beside them', bytesText(freeBytes)],
  ];
}

/** How a mirror stands: a word, and what more there is to say. */
export function mirrorText({ state, lagMs, waiting, held, why, setAside }: MirrorView): {
  word: string;
  more: string;
} {
  const more = [
    lagMs > 0 ? `${formatSpan(lagMs)} behind` : '',
    state !== 'current' && waiting > 0 ? `${countText(waiting)} to go` : '',
    held ? 'some wait for the clock' : '',
    setAside > 0 ? `${countText(setAside)} refused by it` : '',
    state === 'away' || state === 'denied' ? why : '',
  ].filter((text) => text !== '');
  return { word: mirrorWords[state], more: more.join('; ') };
}

const mirrorWords: Readonly<Record<MirrorView['state'], string>> = {
  current: 'up to date',
  behind: 'catching up',
  away: 'not reached',
  denied: 'not let in',
};
