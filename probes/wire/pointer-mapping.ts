/** Foreign JSON: a JSON Pointer (RFC 6901) says where in a message the temperature of a probe stands. */
import { celsiusOf, type TempUnit } from '../../shared/units/celsius.ts';
import { checkTempC, type Decoded, type Origin, refused, shown } from './decoded.ts';

/** The units in which foreign JSON may carry a temperature. */
export type MappedUnit = TempUnit;

/** Where a probe's temperature stands in foreign JSON: number at the pointer × scale, in the unit. */
export type PointerMapping = { probe: string; pointer: string; unit: MappedUnit; scale: number };

const decimal = /^[+-]?\d{1,9}(?:\.\d{0,12})?(?:[eE][+-]?\d{1,2})?$/;

/** Returns true for a JSON Pointer: empty, or `/` before each token with `~` only as `~0` or `~1` (§3). */
export function isPointer(pointer: string): boolean {
  return /^(?:\/(?:[^~/]|~[01])*)*$/.test(pointer);
}

/** Returns what stands at the pointer, or undefined where nothing does; own properties only (§4). */
export function at(document: unknown, pointer: string): unknown {
  if (pointer === '') return document;
  let here = document;
  for (const escaped of pointer.slice(1).split('/')) {
    const token = escaped.replaceAll('~1', '/').replaceAll('~0', '~');
    if (typeof here !== 'object' || here === null) return undefined;
    if (Array.isArray(here) && !/^(?:0|[1-9]\d*)$/.test(token)) return undefined;
    if (!Object.hasOwn(here, token)) return undefined;
    here = (here as Record<string, unknown>)[token];
  }
  return here;
}

/**
 * Decodes foreign JSON by its mappings into readings without an instant, one for each mapping whose
 * pointer leads to a number or a number in quotes. Text that is no JSON is one refusal, a pointer that
 * leads nowhere or to something else is one refusal of its probe.
 */
export function decodeMapped(text: string, mappings: readonly PointerMapping[], source: string): Decoded {
  let document: unknown;
  try {
    document = JSON.parse(text);
  } catch {
    const probe = mappings.length === 1 ? (mappings[0]?.probe ?? null) : null;
    const message = `mapped message must be JSON, got ${shown(text)}. Look at what the device sends.`;
    return refused({ source, probe }, 'WIRE_GARBLED', message);
  }
  const decoded: Decoded = { readings: [], refusals: [] };
  for (const mapping of mappings) {
    const one = decodeAt(document, mapping, { source, probe: mapping.probe });
    decoded.readings.push(...one.readings);
    decoded.refusals.push(...one.refusals);
  }
  return decoded;
}

function decodeAt(
  document: unknown,
  { probe, pointer, unit, scale }: PointerMapping,
  origin: Origin,
): Decoded {
  const found = at(document, pointer);
  const value = typeof found === 'string' && decimal.test(found) ? Number(found) : found;
  if (typeof value !== 'number') {
    const message =
      `value of probe ${shown(probe)} at ${shown(pointer)} must be a number, got ${shown(found)}. ` +
      'Compare the mapping in the house file with what the device sends.';
    return refused(origin, 'WIRE_GARBLED', message);
  }
  const tempC = celsiusOf(value * scale, unit);
  const outOfRange = checkTempC(origin, probe, tempC);
  if (outOfRange !== null) return { readings: [], refusals: [outOfRange] };
  return { readings: [{ probe, tempC, atMs: null, undated: false }], refusals: [] };
}
