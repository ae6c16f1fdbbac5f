/** Instants as files write them: RFC 3339, seconds or milliseconds since 1970, or a pattern in a time zone. */

/** Reads a text to epoch ms; null where it is no instant of this form. */
export type ReadTime = (text: string) => number | null;

/**
 * `auto`: RFC 3339, a local date and time like it, or whole epoch milliseconds. `epoch-s`, `epoch-ms`: numbers.
 * Anything else is a pattern of YYYY, YY, MM, DD, HH (or hh with A), mm, ss and SSS with what stands between.
 */
export type TimeForm = { form: string; zone: string | null };

const rfc3339 =
  /^(\d{4})-(\d{2})-(\d{2})[Tt ](\d{2}):(\d{2})(?::(\d{2})(?:[.,](\d{1,9}))?)?\s?([Zz]|[+-]\d{2}:?\d{2})?$/;
const tokens = /YYYY|YY|MM|M|DD|D|HH|H|hh|h|mm|ss|SSS|A/g;
const digitsOf: Readonly<Record<string, string>> = {
  YYYY: '(?<year>\\d{4})',
  YY: '(?<shortYear>\\d{2})',
  MM: '(?<month>\\d{1,2})',
  M: '(?<month>\\d{1,2})',
  DD: '(?<day>\\d{1,2})',
  D: '(?<day>\\d{1,2})',
  HH: '(?<hour>\\d{1,2})',
  H: '(?<hour>\\d{1,2})',
  hh: '(?<hour>\\d{1,2})',
  h: '(?<hour>\\d{1,2})',
  mm: '(?<minute>\\d{2})',
  ss: '(?<second>\\d{2})',
  SSS: '(?<ms>\\d{1,3})',
  A: '(?<half>[AaPp]\\.?[Mm]\\.?)',
};

/** Returns the reader of a form; a text says what is wrong with the form itself. */
export function openFileTime({ form, zone }: TimeForm): ReadTime | string {
  const local = zone === null ? null : openLocalTime(zone);
  switch (form) {
    case 'auto':
      return (text) => (/^\d{10,15}$/.test(text) ? Number(text) : readIso(text, local));
    case 'epoch-ms':
      return (text) => (/^\d{1,15}(\.\d+)?$/.test(text) ? Math.round(Number(text)) : null);
    case 'epoch-s':
      return (text) => (/^\d{1,12}(\.\d+)?$/.test(text) ? Math.round(Number(text) * 1000) : null);
    default: {
      const words = new Set(form.match(tokens) ?? []);
      const hasDay =
        [...words].some((word) => word.startsWith('D')) && [...words].some((word) => word.startsWith('M'));
      if (!hasDay || (!words.has('YYYY') && !words.has('YY'))) {
        return 'auto, epoch-s, epoch-ms or a pattern with YYYY, MM and DD';
      }
      const pattern = patternOf(form);
      return (text) => readPattern(text, pattern, local);
    }
  }
}

function readIso(text: string, local: LocalTime | null): number | null {
  const found = rfc3339.exec(text);
  if (found === null) return null;
  const [, year, month, day, hour, minute, second = '0', fraction = '0', offset] = found;
  const wallMs = wallOf({
    year: Number(year),
    month: Number(month),
    day: Number(day),
    hour: Number(hour),
    minute: Number(minute),
    second: Number(second),
    // Stamps are whole milliseconds; finer ones are rounded.
    ms: Math.round(Number(`0.${fraction}`) * 1000),
  });
  if (wallMs === null) return null;
  if (offset === undefined) return local === null ? null : local(wallMs);
  if (offset === 'Z' || offset === 'z') return wallMs;
  const sign = offset.startsWith('-') ? -1 : 1;
  const [hours, minutes] = [Number(offset.slice(1, 3)), Number(offset.slice(-2))];
  return hours > 23 || minutes > 59 ? null : wallMs - sign * (hours * 60 + minutes) * 60_000;
}

function patternOf(form: string): RegExp {
  let source = '';
  let after = 0;
  for (const found of form.matchAll(tokens)) {
    source += escapeText(form.slice(after, found.index)) + digitsOf[found[0]];
    after = found.index + found[0].length;
  }
  return new RegExp(`^${source}${escapeText(form.slice(after))}$`);
}

function escapeText(text: string): string {
  return text.replace(/[.*+?^${}()|[\]\\/]/g, '\\$&');
}

function readPattern(text: string, pattern: RegExp, local: LocalTime | null): number | null {
  const groups = pattern.exec(text)?.groups;
  if (groups === undefined || local === null) return null;
  const number = (name: string) => Number(groups[name] ?? 0);
  const isHalf = groups.half !== undefined;
  if (isHalf && (number('hour') < 1 || number('hour') > 12)) return null;
  const hour = isHalf ? (number('hour') % 12) + (/^p/i.test(groups.half as string) ? 12 : 0) : number('hour');
  const year = groups.year === undefined ? 2000 + number('shortYear') : number('year');
  const wallMs = wallOf({
    year,
    month: number('month'),
    day: number('day'),
    hour,
    minute: number('minute'),
    second: number('second'),
    ms: number('ms'),
  });
  return wallMs === null ? null : local(wallMs);
}

type Wall = {
  year: number;
  month: number;
  day: number;
  hour: number;
  minute: number;
  second: number;
  ms: number;
};

/** A wall clock's time as if it were UTC; null for what no calendar has. */
function wallOf({ year, month, day, hour, minute, second, ms }: Wall): number | null {
  if (year < 1970 || month < 1 || month > 12 || hour > 23 || minute > 59 || second > 59) return null;
  const dayMs = Date.UTC(year, month - 1, day);
  if (new Date(dayMs).getUTCDate() !== day) return null;
  return dayMs + ((hour * 60 + minute) * 60 + second) * 1000 + ms;
}

/** A wall clock's time in a zone to epoch ms; null in the hour that summer time leaves out. */
type LocalTime = (wallMs: number) => number | null;

const quarterMs = 900_000;

/**
 * Of the hour that autumn has twice the first is taken, unless the instant read before lies after it: a
 * logger's lines are in order.
 */
function openLocalTime(zone: string): LocalTime {
  const offsetAt = openZoneOffsets(zone);
  let beforeMs = Number.NEGATIVE_INFINITY;
  return (wallMs) => {
    const first = wallMs - offsetAt(wallMs - 86_400_000);
    const second = wallMs - offsetAt(wallMs + 86_400_000);
    const candidates = [...new Set([first, second])].sort((a, b) => a - b);
    const real = candidates.filter((atMs) => atMs + offsetAt(atMs) === wallMs);
    const found = real.find((atMs) => atMs > beforeMs) ?? real[0] ?? null;
    if (found !== null) beforeMs = found;
    return found;
  };
}

/** Offsets of a zone by the quarter hour, the last two of them held. */
function openZoneOffsets(zone: string): (atMs: number) => number {
  const parts = new Intl.DateTimeFormat('en-u-hc-h23', {
    timeZone: zone,
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
    second: 'numeric',
  });
  const held = new Map<number, number>();
  return (atMs) => {
    const quarter = Math.floor(atMs / quarterMs);
    const known = held.get(quarter);
    if (known !== undefined) return known;
    const shown = Object.fromEntries(
      parts.formatToParts(quarter * quarterMs).map(({ type, value }) => [type, value]),
    );
    const wallMs = Date.UTC(
      Number(shown.year),
      Number(shown.month) - 1,
      Number(shown.day),
      Number(shown.hour),
      Number(shown.minute),
      Number(shown.second),
    );
    const offsetMs = wallMs - quarter * quarterMs;
    if (held.size >= heldMax) held.clear();
    held.set(quarter, offsetMs);
    return offsetMs;
  };
}

/** Offsets held at once; then all are asked anew. */
const heldMax = 1_000;
