/** The simplest line a microcontroller can send: `id value`, °C. */
import { checkTempC, type Decoded, type Origin, refused, resolveProbe, shown } from './decoded.ts';

/** A decimal number with a point; no thousands marks, no hexadecimal, no exponent. */
const decimal = /^[+-]?(?:\d{1,9}(?:\.\d{0,12})?|\.\d{1,12})$/;

/** How firmware prints a sensor that did not answer; told apart so that the refusal can say so. */
const notANumber = /^[+-]?(?:nan|inf|infinity)$/i;

/**
 * Parses `id value`, with blanks or tabs around and between, or a bare `value` where the wire names the
 * probe, into one reading without an instant. Anything else is one refusal; an empty line is neither.
 */
export function parsePlainLine(line: string, origin: Origin): Decoded {
  const words = line.split(/[ \t\r\n]+/).filter((word) => word !== '');
  if (words.length === 0) return { readings: [], refusals: [] };
  const value = words.at(-1) ?? '';
  const isNumber = decimal.test(value);
  if (words.length > 2 || (words.length === 1 && !isNumber && !notANumber.test(value))) {
    const message = `line must be "id value", got ${shown(line)}. Send for example "${origin.probe ?? 'jar'} 4.5".`;
    return refused(origin, 'WIRE_GARBLED', message);
  }
  const resolved = resolveProbe(origin, words.length === 2 ? (words[0] ?? '') : '');
  if ('code' in resolved) return { readings: [], refusals: [resolved] };
  const { probe } = resolved;
  if (!isNumber && !notANumber.test(value)) {
    const message = `value of probe ${shown(probe)} must be a number in °C, got ${shown(value)}. Send for example 4.5.`;
    return refused(origin, 'WIRE_GARBLED', message, probe);
  }
  const tempC = isNumber ? Number(value) : Number.NaN;
  const outOfRange = checkTempC(origin, probe, tempC);
  if (outOfRange !== null) return { readings: [], refusals: [outOfRange] };
  return { readings: [{ probe, tempC, atMs: null, undated: false }], refusals: [] };
}
