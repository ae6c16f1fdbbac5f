/** The kinds of value that fields of the house file share: ids, names, quantities with their unit, ports. */

import { z } from 'zod';
import { plainIdPattern } from '../../shared/contract/ids.ts';
import { parseHeight, parseSpan, parseTemp, parseTempDiff, parseVolume } from '../../shared/units/parse.ts';
import { type FieldNote, field } from './field.ts';

/** The longest name that is taken. */
const nameMax = 60;

type Said = Pick<FieldNote, 'says'> & Partial<FieldNote>;

/** An id: what other parts of the file, wires and addresses call a thing. */
export function id(says: string) {
  return field(z.string().regex(plainIdPattern), {
    says,
    rule: 'an id of 1 to 64 letters, digits, ".", "_" or "-" that begins with a letter or digit',
    advice: 'Write a short word such as jar-1; an id of digits alone goes in quotes.',
    fault: 'HOUSE_FORM',
    examples: ['jar-1'],
  });
}

/** The id of another thing in the file. */
export function reference(says: string, thing: string) {
  return field(z.string().regex(plainIdPattern), {
    says,
    rule: `the id of a ${thing} in this file`,
    advice: `Give an id that stands under ${thing}s.`,
    fault: 'HOUSE_FORM',
  });
}

/** A name that people read. */
export function name(says: string, example: string) {
  return field(z.string().trim().min(1).max(nameMax), {
    says,
    rule: `text of 1 to ${nameMax} characters`,
    advice: 'Write the name that people use; digits alone go in quotes.',
    examples: [example],
  });
}

type Bounds = { min: number; max: number };

/** Text that `parse` reads to a number within bounds; the two faults are told apart. */
function quantity(parse: (text: string) => number | null, { min, max }: Bounds, note: FieldNote) {
  // The examples stand on the text, too: a schema of what people write leaves out those of what is made of it.
  const text = z.string().meta({ examples: [...(note.examples ?? [])] });
  const value = text.transform((written, context): number => {
    const parsed = parse(written);
    if (parsed !== null && parsed >= min && parsed <= max) return parsed;
    const fault = parsed === null ? 'HOUSE_UNIT' : 'HOUSE_RANGE';
    context.addIssue({ code: 'custom', message: fault, params: { fault } });
    return z.NEVER;
  });
  return field(value, note);
}

/** A temperature with its unit, kept in °C. */
export function temp(bounds: Bounds, said: Said & { between: string }) {
  return quantity(parseTemp, bounds, {
    rule: `a temperature from ${said.between} with its unit`,
    advice: 'Write a number and F or C, such as 40 F or 4.4 C.',
    fault: 'HOUSE_UNIT',
    examples: ['40 F', '4.4 C'],
    ...without(said),
  });
}

/** How far a temperature may be off, kept in °C. */
export function tempDiff(bounds: Bounds, said: Said & { between: string }) {
  return quantity(parseTempDiff, bounds, {
    rule: `a difference of temperatures from ${said.between} with its unit`,
    advice: 'Write a number and F or C, such as 0.5 C or 1 F.',
    fault: 'HOUSE_UNIT',
    examples: ['0.5 C', '1 F'],
    ...without(said),
  });
}

/** A span of time with its unit, kept in milliseconds. */
export function span(bounds: Bounds, said: Said & { between: string }) {
  return quantity(parseSpan, bounds, {
    rule: `a span of time from ${said.between} with its unit`,
    advice: 'Write a number and s, m or h, such as 60m or 1h30m.',
    fault: 'HOUSE_UNIT',
    examples: ['60m', '1h30m'],
    ...without(said),
  });
}

/** A volume with its unit, kept in litres. */
export function volume(said: Said) {
  return quantity(
    parseVolume,
    { min: Number.MIN_VALUE, max: 1000 },
    {
      rule: 'a volume above 0 and up to 1000 L with its unit',
      advice: 'Write a number and L, ml, qt or gal (US measures), such as 0.95 L or 1 qt.',
      fault: 'HOUSE_UNIT',
      examples: ['0.95 L', '1 qt'],
      ...said,
    },
  );
}

/** A height above sea level with its unit, kept in metres. */
export function height(says: string) {
  return quantity(
    parseHeight,
    { min: -430, max: 5500 },
    {
      says,
      rule: 'a height above sea level from -430 m to 5500 m with its unit',
      advice: 'Write a number and m or ft, such as 1420 m or 4660 ft.',
      fault: 'HOUSE_UNIT',
      examples: ['1420 m', '4660 ft'],
    },
  );
}

/** A choice among a few words. */
export function choice<const T extends readonly string[]>(words: T, says: string) {
  return field(z.enum(words), {
    says,
    rule: `one of ${words.join(', ')}`,
    advice: 'Choose one of these words.',
    fault: 'HOUSE_CHOICE',
    examples: words.slice(0, 1),
  });
}

/** Yes or no. */
export function flag(says: string) {
  return field(z.boolean(), {
    says,
    rule: 'true or false',
    advice: 'Write true or false without quotes; yes and no are text in YAML 1.2.',
  });
}

/** A TCP port; 0 takes any that is free. */
export function port(says: string) {
  return field(z.int().min(0).max(65_535), {
    says,
    rule: 'a whole number from 0 to 65535',
    advice: 'Give a port that nothing else on this machine listens on; 0 takes any that is free.',
    examples: [1883],
  });
}

/** A loopback address to listen on: other machines cannot reach it. */
export function loopback(says: string) {
  return field(z.string().regex(/^(127\.\d{1,3}\.\d{1,3}\.\d{1,3}|::1|localhost)$/), {
    says,
    rule: 'a loopback address: 127.0.0.1, ::1 or localhost',
    advice: 'Springhouse listens to this machine only; reach it from elsewhere through a tunnel.',
    fault: 'HOUSE_FORM',
    examples: ['127.0.0.1'],
  });
}

/** A path on this machine. */
export function path(said: Said) {
  return field(z.string().min(1).max(4096), {
    rule: 'a path',
    advice: 'Write the path as the shell shows it.',
    ...said,
  });
}

function without<T extends { between: string }>({ between: _between, ...rest }: T): Omit<T, 'between'> {
  return rest;
}
