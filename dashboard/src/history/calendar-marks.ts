/** Where the marks of a time axis stand, from seconds to years, by the calendar of the house's zone. Pure. */

/** One mark: its instant and what is written under it; `day` marks carry a date where others carry a time. */
export type CalendarMark = { atMs: number; words: string; isDate: boolean };

type Unit = 'ms' | 'day' | 'month' | 'year';
type Step = { unit: Unit; size: number; aboutMs: number };

const secondMs = 1_000;
const minuteMs = 60 * secondMs;
const hourMs = 60 * minuteMs;
const dayMs = 24 * hourMs;

const steps: readonly Step[] = [
  ...[1, 2, 5, 10, 30].map((size): Step => ({ unit: 'ms', size: size * secondMs, aboutMs: size * secondMs })),
  ...[1, 2, 5, 10, 30].map((size): Step => ({ unit: 'ms', size: size * minuteMs, aboutMs: size * minuteMs })),
  ...[1, 2, 3, 6, 12].map((size): Step => ({ unit: 'ms', size: size * hourMs, aboutMs: size * hourMs })),
  ...[1, 2, 7, 14].map((size): Step => ({ unit: 'day', size, aboutMs: size * dayMs })),
  ...[1, 2, 3, 6].map((size): Step => ({ unit: 'month', size, aboutMs: size * 30.4 * dayMs })),
  ...[1, 2, 5, 10].map((size): Step => ({ unit: 'year', size, aboutMs: size * 365.25 * dayMs })),
];
const widest: Step = { unit: 'year', size: 10, aboutMs: 3652 * dayMs };

export type MarksAsk = { fromMs: number; toMs: number; zone: string; widthPx: number; clearPx: number };

/** Returns the marks of a span, rising, about `clearPx` apart at least. */
export function calendarMarks({ fromMs, toMs, zone, widthPx, clearPx }: MarksAsk): CalendarMark[] {
  const spanMs = toMs - fromMs;
  const step = steps.find(({ aboutMs }) => (aboutMs / spanMs) * widthPx >= clearPx) ?? widest;
  const wall = openWall(zone);
  const marks: CalendarMark[] = [];
  let beforeDay = '';
  for (const atMs of instantsOf(step, { fromMs, toMs }, wall)) {
    const day = wall.day(atMs);
    const isDate = step.unit !== 'ms' || day !== beforeDay;
    // A mark at midnight, and the first of a day that began outside, say which day it is.
    const isMidnight = step.unit === 'ms' && isDate && wall.ms(atMs) % dayMs === 0;
    const showsDay = step.unit !== 'ms' || isMidnight;
    marks.push({
      atMs,
      words: showsDay ? wall.date(atMs, step) : wall.time(atMs, step.size),
      isDate: showsDay,
    });
    beforeDay = day;
  }
  return marks;
}

/** The span of one cell of the chequered border: a fifth or so of a mark's, in ms. */
export function cellMsOf({ fromMs, toMs, widthPx }: Pick<MarksAsk, 'fromMs' | 'toMs' | 'widthPx'>): number {
  const spanMs = toMs - fromMs;
  return (steps.find(({ aboutMs }) => (aboutMs / spanMs) * widthPx >= cellPxMin) ?? widest).aboutMs;
}

/** The narrowest cell that can be told from the next, px. */
const cellPxMin = 9;

function instantsOf(step: Step, { fromMs, toMs }: { fromMs: number; toMs: number }, wall: Wall): number[] {
  const first = wall.ms(fromMs);
  const last = wall.ms(toMs);
  const walls: number[] = [];
  if (step.unit === 'ms' || step.unit === 'day') {
    const sizeMs = step.unit === 'ms' ? step.size : step.size * dayMs;
    // Weeks begin on Monday: 5 January 1970 was one.
    const zeroMs = step.unit === 'day' && step.size >= 7 ? 4 * dayMs : 0;
    for (let at = Math.ceil((first - zeroMs) / sizeMs) * sizeMs + zeroMs; at <= last; at += sizeMs)
      walls.push(at);
  } else {
    const months = step.unit === 'month' ? step.size : step.size * 12;
    const date = new Date(first);
    const from = Math.floor((date.getUTCFullYear() * 12 + date.getUTCMonth()) / months) * months;
    for (let month = from; ; month += months) {
      const at = Date.UTC(Math.floor(month / 12), month % 12);
      if (at > last) break;
      if (at >= first) walls.push(at);
    }
  }
  return walls.map((at) => wall.instant(at)).filter((atMs) => atMs >= fromMs && atMs <= toMs);
}

/** A zone's wall clock: its time as ms as if it were UTC, and back. */
type Wall = {
  ms(atMs: number): number;
  instant(wallMs: number): number;
  day(atMs: number): string;
  time(atMs: number, stepMs: number): string;
  date(atMs: number, step: Step): string;
};

const walls = new Map<string, Wall>();

/** Returns the wall clock of a zone; zones are those of the house and stay few. */
export function openWall(zone: string): Wall {
  const held = walls.get(zone);
  if (held !== undefined) return held;
  const wall = makeWall(zone);
  walls.set(zone, wall);
  return wall;
}

function makeWall(zone: string): Wall {
  const shared = { timeZone: zone } as const;
  const fields = new Intl.DateTimeFormat('en-u-hc-h23', {
    ...shared,
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
    second: 'numeric',
  });
  const dayMonth = new Intl.DateTimeFormat('en-GB', { ...shared, day: 'numeric', month: 'short' });
  const monthName = new Intl.DateTimeFormat('en-GB', { ...shared, month: 'short' });
  const wallMs = (atMs: number): number => {
    const parts = fields.formatToParts(Math.floor(atMs / 1000) * 1000);
    const part = (type: string) => Number(parts.find((each) => each.type === type)?.value ?? 0);
    const whole = Date.UTC(
      part('year'),
      part('month') - 1,
      part('day'),
      part('hour'),
      part('minute'),
      part('second'),
    );
    return whole + (((atMs % 1000) + 1000) % 1000);
  };
  const clockOf = (atMs: number) => {
    const at = new Date(wallMs(atMs));
    const two = (value: number) => String(value).padStart(2, '0');
    return { hour: at.getUTCHours(), minute: two(at.getUTCMinutes()), second: two(at.getUTCSeconds()) };
  };
  return {
    ms: wallMs,
    instant: (wanted) => {
      // Twice, since the offset at the first guess may be that of before a change of the clock.
      const guess = wanted - (wallMs(wanted) - wanted);
      return wanted - (wallMs(guess) - guess);
    },
    day: (atMs) => dayMonth.format(atMs),
    time: (atMs, stepMs) => {
      const { hour, minute, second } = clockOf(atMs);
      return stepMs < minuteMs ? `${hour}:${minute}:${second}` : `${hour}:${minute}`;
    },
    date: (atMs, { unit }) => {
      const at = new Date(wallMs(atMs));
      if (unit === 'year') return String(at.getUTCFullYear());
      if (unit !== 'month') return dayMonth.format(atMs);
      return at.getUTCMonth() === 0 ? String(at.getUTCFullYear()) : monthName.format(atMs);
    },
  };
}
