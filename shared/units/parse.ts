/** Text as people type it to the units that the code keeps: °C, milliseconds, litres, metres. */

import { celsiusOf } from './celsius.ts';
import { factorOf, parseTyped, quantityTextMax } from './quantity.ts';

/** Nothing is colder (the kelvin's definition, SI Brochure, 9th edition). */
const absoluteZeroC = -273.15;

const tempUnits: Readonly<Record<string, 'C' | 'F'>> = { c: 'C', '°c': 'C', cel: 'C', f: 'F', '°f': 'F' };

/**
 * Reads `40 F`, `40°F`, `4.44C` or `-0.5 °C`, to °C and unrounded ((F - 32) * 5/9); null where the text is
 * no temperature, has no unit, or is colder than absolute zero.
 */
export function parseTemp(text: string): number | null {
  const typed = parseTempUnit(text);
  if (typed === null) return null;
  const tempC = celsiusOf(typed.value, typed.units);
  return tempC < absoluteZeroC ? null : tempC;
}

/** Reads a difference of temperatures, `0.5 C` or `1 F`, to °C: no 32 is taken off. Null where it is none. */
export function parseTempDiff(text: string): number | null {
  const typed = parseTempUnit(text);
  if (typed === null) return null;
  return typed.units === 'F' ? (typed.value * 5) / 9 : typed.value;
}

function parseTempUnit(text: string): { value: number; units: 'C' | 'F' } | null {
  const typed = parseTyped(text);
  if (typed === null) return null;
  const key = typed.unit.toLowerCase().replace(/^°\s+/, '°');
  const units = Object.hasOwn(tempUnits, key) ? tempUnits[key] : undefined;
  return units === undefined ? null : { value: typed.value, units };
}

const spanUnits: readonly { names: readonly string[]; ms: number }[] = [
  { names: ['d', 'day', 'days'], ms: 86_400_000 },
  { names: ['h', 'hr', 'hrs', 'hour', 'hours'], ms: 3_600_000 },
  { names: ['m', 'min', 'mins', 'minute', 'minutes'], ms: 60_000 },
  { names: ['s', 'sec', 'secs', 'second', 'seconds'], ms: 1000 },
  { names: ['ms'], ms: 1 },
];

/**
 * Reads `60m`, `1h`, `90s`, `15 min` or `1h30m` (largest unit first, each once) to whole milliseconds; null
 * where the text is no span. A span is never negative; `0s` is one.
 */
export function parseSpan(text: string): number | null {
  const trimmed = text.trim();
  if (trimmed === '' || text.length > quantityTextMax) return null;
  const pieces = trimmed.match(/[\d.]+[ \u00a0]*[a-z]+/gi) ?? [];
  const left = trimmed.replace(/[\d.]+[ \u00a0]*[a-z]+/gi, '').trim();
  if (pieces.length === 0 || left !== '') return null;
  let totalMs = 0;
  let largest = 0;
  for (const piece of pieces) {
    const typed = parseTyped(piece);
    const index = spanUnits.findIndex((unit) => unit.names.includes(typed?.unit.toLowerCase() ?? ''));
    const unit = spanUnits[index];
    if (typed === null || unit === undefined || index < largest) return null;
    totalMs += typed.value * unit.ms;
    largest = index + 1;
  }
  return Math.round(totalMs);
}

/**
 * Litres in one unit. US measures from the gallon of 231 cubic inches: NIST Handbook 44 (2023), Appendix C,
 * and NIST SP 811, Appendix B.8 (gallon [US] 3.785 411 784 L exactly).
 */
const volumeUnits: Readonly<Record<string, number>> = {
  l: 1,
  liter: 1,
  liters: 1,
  litre: 1,
  litres: 1,
  dl: 0.1,
  cl: 0.01,
  ml: 0.001,
  gal: 3.785411784,
  gallon: 3.785411784,
  gallons: 3.785411784,
  qt: 0.946352946,
  quart: 0.946352946,
  quarts: 0.946352946,
  pt: 0.473176473,
  pint: 0.473176473,
  pints: 0.473176473,
  cup: 0.2365882365,
  cups: 0.2365882365,
  'fl oz': 0.0295735295625,
};

/** Reads `0.95L`, `950 ml`, `1 qt` or `2 gal` (US measures) to litres; null where it is no volume above nothing. */
export function parseVolume(text: string): number | null {
  const typed = parseTyped(text);
  const factor = typed === null ? null : factorOf(typed.unit, volumeUnits);
  if (typed === null || factor === null || typed.value <= 0) return null;
  // Millilitres divide, so that 950 ml is 0.95 and not 0.9500000000000001.
  return factor < 1 && Number.isInteger(1 / factor) ? typed.value / (1 / factor) : typed.value * factor;
}

/** Metres in one unit; the foot is 0.3048 m exactly (NIST SP 811, Appendix B.6). */
const heightUnits: Readonly<Record<string, number>> = {
  m: 1,
  meter: 1,
  meters: 1,
  metre: 1,
  metres: 1,
  ft: 0.3048,
  foot: 0.3048,
  feet: 0.3048,
};

/** Reads a height above sea level, `1420 m` or `4660 ft`, to metres; below the sea is negative; null for others. */
export function parseHeight(text: string): number | null {
  const typed = parseTyped(text.replace(/(\d),(\d{3})(?!\d)/, '$1$2'));
  const factor = typed === null ? null : factorOf(typed.unit, heightUnits);
  return typed === null || factor === null ? null : typed.value * factor;
}
