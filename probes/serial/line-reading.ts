/** From a line of a byte stream to readings. */
import { type Decoded, type Origin, refused, shown } from '../wire/decoded.ts';
import type { Line } from '../wire/lines.ts';
import { parsePlainLine } from '../wire/plain-line.ts';
import { parseSenml } from '../wire/senml.ts';

/**
 * Decodes a line, a SenML pack or `id value`, or refuses it. A plain first line is refused where the
 * stream was joined late: the rest of `plum1 4.5` could pass for another probe's reading. A pack cut at
 * its front is no JSON, so it needs no such care.
 */
export function decodeLine(line: Line, source: string, joinedLate: boolean): Decoded {
  const origin: Origin = { source, probe: null };
  if ('code' in line) return refused(origin, line.code, line.message);
  if (/^[[{]/.test(line.text)) return parseSenml(line.text, origin);
  if (!line.isFirst || !joinedLate) return parsePlainLine(line.text, origin);
  const message =
    `first line must be heard from its beginning, got ${shown(line.text)} at once on opening. ` +
    'Nothing needs doing: the next line is taken.';
  return refused(origin, 'WIRE_GARBLED', message);
}
