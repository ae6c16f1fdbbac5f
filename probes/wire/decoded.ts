/**
 * What every decoder of this folder takes and gives, and the rules that each reading must meet whatever
 * the wire. Decoders are pure: text in, readings and refusals out, nothing thrown.
 */
import { plainIdPattern } from '../../shared/contract/ids.ts';
import type { Refusal, RefusalCode, WireReading } from '../source.ts';

/** What one line or message held; each reading in it is either taken or refused with a reason. */
export type Decoded = { readings: WireReading[]; refusals: Refusal[] };

/** From where a text came: the source's id, and the probe where the wire itself names it (a topic). */
export type Origin = { source: string; probe: string | null };

/** The coldest value taken, °C: under the coldest freezer and the range of every probe in use. */
export const tempCMin = -60;

/** The hottest value taken, °C: over any pot; a value beyond it is a fault or another unit. */
export const tempCMax = 150;

/** How many characters of a refused value its message shows; the rest is cut off and marked by `…`. */
export const shownCharsMax = 60;

/** Returns a value for a message: quoted, in one line of printable ASCII, cut to `shownCharsMax`. */
export function shown(value: unknown): string {
  if (value === undefined) return 'none';
  if (Array.isArray(value)) return 'an array';
  if (typeof value === 'object' && value !== null) return 'an object';
  if (typeof value !== 'string') return String(value);
  // Cut first, so that a long hostile value costs no more than a short one.
  const cut = value.length > shownCharsMax ? `${value.slice(0, shownCharsMax)}…` : value;
  return JSON.stringify(cut).replace(/[^\x20-\x7e…]/g, escaped);
}

function escaped(char: string): string {
  return `\\u${char.charCodeAt(0).toString(16).padStart(4, '0')}`;
}

/** Returns a refusal of something from this origin; `probe` overrides the origin's where it is known better. */
export function refuse(origin: Origin, code: RefusalCode, message: string, probe = origin.probe): Refusal {
  return { source: origin.source, probe, code, message };
}

/** Returns what holds exactly one refusal and no reading. */
export function refused(origin: Origin, code: RefusalCode, message: string, probe = origin.probe): Decoded {
  return { readings: [], refusals: [refuse(origin, code, message, probe)] };
}

/**
 * Returns the probe that a text and its wire name together, or the refusal: one of them must name it, as
 * a plain id, and where both do they must agree.
 */
export function resolveProbe(origin: Origin, name: string): { probe: string } | Refusal {
  if (name === '') {
    if (origin.probe !== null) return { probe: origin.probe };
    return refuse(origin, 'WIRE_PROBE', 'probe must be named, got none. Put its id before the value.');
  }
  if (origin.probe !== null && name !== origin.probe) {
    const message =
      `probe must be ${shown(origin.probe)} as in the topic, got ${shown(name)}. ` +
      'Send each probe under its own topic, or leave the name out.';
    return refuse(origin, 'WIRE_PROBE', message);
  }
  if (!plainIdPattern.test(name)) {
    const message =
      'probe must be a letter or digit, then letters, digits, ".", "_" or "-", 64 in all at most, ' +
      `got ${shown(name)}. Give the probe such an id.`;
    return refuse(origin, 'WIRE_PROBE', message, null);
  }
  return { probe: name };
}

/** Returns null for a temperature that a probe of this house can show, else the refusal; °C. */
export function checkTempC(origin: Origin, probe: string, tempC: number): Refusal | null {
  if (tempC >= tempCMin && tempC <= tempCMax) return null;
  const message =
    `temperature of probe ${shown(probe)} must be from ${tempCMin} to ${tempCMax} °C, ` +
    `got ${shown(tempC)}. Look at the sensor, its cable and the unit it sends.`;
  return refuse(origin, 'WIRE_RANGE', message, probe);
}
