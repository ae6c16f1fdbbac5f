/** What the code keeps (°C, milliseconds, litres, metres) to text in a person's own units and zone. */

/** The units of temperature that a house shows. */
export type Units = 'F' | 'C';

const noBreakSpace = '\u00a0';
const minus = '\u2212';

/** Returns °C in the given units, unrounded. */
export function toUnits(tempC: number, units: Units): number {
  return units === 'F' ? (tempC * 9) / 5 + 32 : tempC;
}

/** Which side of a limit is wanted; both include the limit itself. */
export type NearLimit = { limitC: number; side: 'under' | 'over' };

export type TempFormat = {
  units: Units;
  /** Digits after the point, 1 unless given. */
  digits?: 0 | 1;
  /**
   * Given where the number stands near a limit: it is rounded to the side that has not met it, and a number
   * that has not met the limit is never shown as the limit or beyond. Met is judged on the unrounded °C.
   */
  nearLimit?: NearLimit;
};

/** Writes °C as `39.6 °F`, with a no-break space before the degree sign and a true minus. */
export function formatTemp(tempC: number, format: TempFormat): string {
  return `${formatDegrees(tempC, format)}${noBreakSpace}°${format.units}`;
}

/** The number alone of `formatTemp`, for where the unit stands beside it in another size. */
export function formatDegrees(tempC: number, { units, digits = 1, nearLimit }: TempFormat): string {
  const steps = 10 ** digits;
  const scaled = toUnits(tempC, units) * steps;
  const shown =
    nearLimit === undefined
      ? Math.round(scaled)
      : roundUnmet(scaled, tempC, nearLimit, (limitC) => Math.round(toUnits(limitC, units) * steps));
  return signed(shown / steps, digits);
}

/** Forgives what binary fractions add: 39.6 °F kept in °C comes back as 39.60000000000001. */
const roundingSlack = 1e-6;

/**
 * Rounds to a whole step towards the side that has not met the limit, and keeps the shown number on the
 * same side of the shown limit as the temperature is of the limit, since people compare the two they see.
 */
function roundUnmet(
  scaled: number,
  tempC: number,
  { limitC, side }: NearLimit,
  shownLimitOf: (limitC: number) => number,
): number {
  const shownLimit = shownLimitOf(limitC);
  if (side === 'under') {
    const up = Math.ceil(scaled - roundingSlack);
    return tempC <= limitC ? Math.min(up, shownLimit) : Math.max(up, shownLimit + 1);
  }
  const down = Math.floor(scaled + roundingSlack);
  return tempC >= limitC ? Math.max(down, shownLimit) : Math.min(down, shownLimit - 1);
}

/** Writes a difference of temperatures, such as a margin, as `0.9 °F`: no 32 is added. */
export function formatTempDiff(
  diffC: number,
  { units, digits = 1 }: { units: Units; digits?: 0 | 1 },
): string {
  const diff = units === 'F' ? (diffC * 9) / 5 : diffC;
  const steps = 10 ** digits;
  return `${signed(Math.round(diff * steps) / steps, digits)}${noBreakSpace}°${units}`;
}

function signed(value: number, digits: number): string {
  const size = Math.abs(value).toFixed(digits);
  return value < 0 ? `${minus}${size}` : size;
}

// Making a formatter costs about a thousand times what using one does. Zones are those of IANA's list, as
// the runtime throws on any other, so these stay small.
const clocks = new Map<string, Intl.DateTimeFormat>();
const calendars = new Map<string, Intl.DateTimeFormat>();

/** Writes an instant as a time of day in a zone, 24 h without a leading zero: `7:04`. Throws on an unknown zone. */
export function formatClock(atMs: number, zone: string): string {
  const clock = keep(clocks, zone, { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' });
  return clock.format(atMs).replace(/^0/, '');
}

/** Writes an instant as a day in a zone: `Saturday 18 April`. Throws on an unknown zone. */
export function formatDate(atMs: number, zone: string): string {
  const calendar = keep(calendars, zone, { weekday: 'long', day: 'numeric', month: 'long' });
  const parts = calendar.formatToParts(atMs);
  const part = (type: string) => parts.find((candidate) => candidate.type === type)?.value ?? '';
  return `${part('weekday')} ${part('day')} ${part('month')}`;
}

function keep(
  kept: Map<string, Intl.DateTimeFormat>,
  zone: string,
  options: Intl.DateTimeFormatOptions,
): Intl.DateTimeFormat {
  const known = kept.get(zone);
  if (known !== undefined) return known;
  const made = new Intl.DateTimeFormat('en-GB', { ...options, timeZone: zone });
  kept.set(zone, made);
  return made;
}

const spanSteps = [
  { name: 'day', ms: 86_400_000 },
  { name: 'hour', ms: 3_600_000 },
  { name: 'minute', ms: 60_000 },
] as const;

/**
 * Writes a span in words, its two largest parts: `50 minutes`, `1 hour 5 minutes`, `2 days 3 hours`; under a
 * minute in seconds. Rounded to the smaller part; the sign is not written.
 */
export function formatSpan(spanMs: number): string {
  const sizeMs = Math.abs(spanMs);
  if (sizeMs < 59_500) return counted(Math.round(sizeMs / 1000), 'second');
  const smallestMs = sizeMs >= 86_370_000 ? 3_600_000 : 60_000;
  let leftMs = Math.round(sizeMs / smallestMs) * smallestMs;
  const parts: string[] = [];
  for (const { name, ms } of spanSteps) {
    const count = Math.floor(leftMs / ms);
    leftMs -= count * ms;
    if (count > 0) parts.push(counted(count, name));
  }
  return parts.join(' ');
}

/** Writes a count of things: `1 probe`, `3,000 readings`. The name takes an s for its plural. */
export function counted(count: number, name: string): string {
  return `${count.toLocaleString('en-US')} ${name}${count === 1 ? '' : 's'}`;
}

/** Writes litres as `0.95 L`, at most two digits after the point and none that says nothing. */
export function formatVolume(volumeL: number): string {
  const digits = volumeL < 10 ? 2 : volumeL < 100 ? 1 : 0;
  return `${Number(volumeL.toFixed(digits))}${noBreakSpace}L`;
}

/** Writes a height above sea level in whole metres, or feet where the house shows °F: `1,420 m`. */
export function formatHeight(heightM: number, units: Units): string {
  const value = Math.round(units === 'F' ? heightM / 0.3048 : heightM);
  const grouped = String(Math.abs(value)).replace(/\B(?=(\d{3})+$)/g, ',');
  return `${value < 0 ? minus : ''}${grouped}${noBreakSpace}${units === 'F' ? 'ft' : 'm'}`;
}
