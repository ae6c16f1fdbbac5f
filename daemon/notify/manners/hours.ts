/** Times of day in a receiver's zone, across turns of daylight saving. */
import type { QuietHours } from './rules.ts';

const minuteMs = 60_000;
const dayMin = 1_440;

// Making a formatter costs about a thousand times what using one does; zones are IANA's, so this stays small.
const clocks = new Map<string, Intl.DateTimeFormat>();

/** Minutes after midnight in a zone, 0 to 1439. Throws on an unknown zone. */
export function minuteOfDay(atMs: number, zone: string): number {
  let clock = clocks.get(zone);
  if (clock === undefined) {
    clock = new Intl.DateTimeFormat('en-GB', {
      hour: '2-digit',
      minute: '2-digit',
      hourCycle: 'h23',
      timeZone: zone,
    });
    clocks.set(zone, clock);
  }
  const [hour = 0, minute = 0] = clock.format(atMs).split(':').map(Number);
  return hour * 60 + minute;
}

/** Whether an instant lies in quiet hours; their end is no longer quiet. */
export function isQuiet(atMs: number, quiet: QuietHours, zone: string): boolean {
  const now = minuteOfDay(atMs, zone);
  const { fromMin, toMin } = quiet;
  return fromMin <= toMin ? now >= fromMin && now < toMin : now >= fromMin || now < toMin;
}

/**
 * The next instant after `atMs` at which clocks in the zone show this minute of the day. A minute that
 * daylight saving leaves out counts as come when it would have been passed; one that comes twice, once.
 */
export function nextTimeOfDayMs(atMs: number, minute: number, zone: string): number {
  const startMs = Math.floor(atMs / minuteMs) * minuteMs;
  const aheadMin = (minute - minuteOfDay(startMs, zone) + dayMin) % dayMin || dayMin;
  const guessMs = startMs + aheadMin * minuteMs;
  // A turn of the clock on the way shifts the guess by at most a few hours.
  const offMin = signedMin(minute - minuteOfDay(guessMs, zone));
  if (offMin === 0) return guessMs;
  const mendedMs = guessMs + offMin * minuteMs;
  if (minuteOfDay(mendedMs, zone) === minute && mendedMs > atMs) return mendedMs;
  return Math.max(guessMs, mendedMs, startMs + minuteMs);
}

/** A difference of times of day, from half a day back to half a day on. */
function signedMin(difference: number): number {
  return ((difference + dayMin + dayMin / 2) % dayMin) - dayMin / 2;
}
