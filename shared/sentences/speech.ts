import { formatClock, formatSpan, formatTemp } from '../units/format.ts';

/** In whose words a sentence is: language, units, time zone, and what the house calls its probes. */
export type Speech = {
  language: 'en';
  units: 'F' | 'C';
  /** An IANA zone name, `UTC` in replays. */
  zone: string;
  /** Probe id to the name people use; an id without a name stands for itself. */
  names: Readonly<Record<string, string>>;
};

/** A run of words; `forecast` is true where it has not happened yet and is set slanted. */
export type Phrase = { text: string; forecast: boolean };

/** Words that are fixed or measured. */
export function fixed(text: string): Phrase {
  return { text, forecast: false };
}

/** Words that are forecast. */
export function slanted(text: string): Phrase {
  return { text, forecast: true };
}

/** Joins phrases to plain text. */
export function plainText(phrases: readonly Phrase[]): string {
  return phrases.map((phrase) => phrase.text).join('');
}

/** What people call this probe. */
export function nameOf(speech: Speech, probe: string): string {
  return speech.names[probe] ?? probe;
}

/** A temperature limit as typed: whole degrees where it is whole, else tenths. */
export function limitText(limitC: number, speech: Speech): string {
  const inUnits = speech.units === 'F' ? (limitC * 9) / 5 + 32 : limitC;
  const whole = Math.abs(inUnits - Math.round(inUnits)) < 0.005;
  return formatTemp(limitC, { units: speech.units, digits: whole ? 0 : 1 });
}

/** A milk temperature; tenths only near the limit, rounded to the side that has not met it (under). */
export function milkText(tempC: number, limitC: number, speech: Speech): string {
  const near = Math.abs(tempC - limitC) < 1.5;
  return near
    ? formatTemp(tempC, { units: speech.units, digits: 1, nearLimit: { limitC, side: 'under' } })
    : formatTemp(tempC, { units: speech.units, digits: 0 });
}

/** A time of day in the speech's zone. */
export function clockText(atMs: number, speech: Speech): string {
  return formatClock(atMs, speech.zone);
}

/** A span between two instants in whole minutes, at least one. */
export function minutesText(spanMs: number): string {
  return formatSpan(Math.max(60_000, Math.round(Math.abs(spanMs) / 60_000) * 60_000));
}

/** What the window's span is called: "hour" for 60 minutes, else "90 minutes". */
export function spanName(spanMs: number): { name: string; are: 'is' | 'are' } {
  if (spanMs === 3_600_000) return { name: 'hour', are: 'is' };
  return { name: formatSpan(spanMs), are: 'are' };
}
