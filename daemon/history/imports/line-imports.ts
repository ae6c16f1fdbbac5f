/** Readings in JSON Lines and in InfluxDB line protocol, as the export writes them. */
import { plainIdPattern } from '../../../shared/contract/ids.ts';
import { type FormReading, flagsOfWords } from '../forms/form-reading.ts';
import { type Decoder, type FileRow, rowCharsMax } from './decoder.ts';
import type { ReadTime } from './file-time.ts';
import { quote, type ReadValue } from './file-value.ts';
import { openTextLines, type TextLine } from './text-lines.ts';

type Read = (text: string) => FormReading | string;

export type LineImport = { readTime: ReadTime; readValue: ReadValue };

/** One object a line with `at`, `probe`, `celsius` and, where there are any, `flags`. */
export function openJsonLinesImport({ readTime, readValue }: LineImport): Decoder {
  return byLine((text) => {
    const value = parsed(text);
    if (typeof value !== 'object' || value === null) return `must be a JSON object, got ${quote(text)}`;
    const { at, probe, celsius, flags = [] } = value as Record<string, unknown>;
    const words = Array.isArray(flags) ? flagsOfWords(flags.join(' ')) : null;
    return readingOf({ at, probe, celsius, flags: words }, { readTime, readValue });
  });
}

/** Line protocol with the tag `probe` and the field `celsius`; instants in nanoseconds. */
export function openLineProtocolImport({ readValue }: LineImport): Decoder {
  return byLine((text) => {
    if (text.startsWith('#')) return comment;
    const parts = text.split(unescapedSpace).filter((part) => part !== '');
    const [series = '', fields = '', instant = ''] = parts;
    if (parts.length !== 3) {
      return `must be a series, fields and an instant parted by spaces, got ${quote(text)}`;
    }
    const tags = new Map(series.split(unescapedComma).slice(1).map(pair));
    const values = new Map(fields.split(unescapedComma).map(pair));
    const nanoseconds = /^\d{7,19}$/.test(instant) ? Number(instant.slice(0, -6)) : null;
    const flags = /^(\d{1,3})i$/.exec(values.get('flags') ?? '0i')?.[1];
    return readingOf(
      {
        at: instant,
        probe: tags.get('probe'),
        celsius: values.get('celsius'),
        flags: Number(flags ?? Number.NaN),
      },
      { readTime: (text) => (text === '0' ? 0 : nanoseconds), readValue },
    );
  });
}

/** A line that holds no reading and is no fault. */
const comment = '';

const unescapedSpace = /(?<!\\) /;
const unescapedComma = /(?<!\\),/;

function pair(text: string): [string, string] {
  const [key = '', value = ''] = text.split(/(?<!\\)=/);
  return [unescaped(key), unescaped(value)];
}

function unescaped(text: string): string {
  return text.replace(/\\([,= ])/g, '$1');
}

type Found = { at: unknown; probe: unknown; celsius: unknown; flags: number | null };

/** Checks what a line holds; a text is the rule that it breaks. */
export function readingOf(
  { at, probe, celsius, flags }: Found,
  { readTime, readValue }: LineImport,
): FormReading | string {
  const atMs = typeof at === 'string' || typeof at === 'number' ? readTime(String(at)) : null;
  if (atMs === null) return `must hold an instant, got ${quote(String(at))}`;
  if (typeof probe !== 'string' || !plainIdPattern.test(probe)) {
    return `must name a probe by its id, got ${quote(String(probe))}`;
  }
  const isFlags = flags !== null && Number.isInteger(flags) && flags >= 0 && flags <= 255;
  if (!isFlags) return 'must hold flags that are known, got others';
  const tempC = readValue(String(celsius));
  return typeof tempC === 'string' ? tempC : { probe, atMs, tempC, flags };
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}

function byLine(read: Read): Decoder {
  const lines = openTextLines();
  const rowsOf = (found: readonly TextLine[]): FileRow[] =>
    found.flatMap(({ line, text }): FileRow[] => {
      if (text === null) return [{ line, fault: `must have at most ${rowCharsMax} characters, got more` }];
      const row = read(text);
      if (row === comment) return [];
      return [typeof row === 'string' ? { line, fault: row } : { line, reading: row }];
    });
  return { push: (text) => rowsOf(lines.push(text)), end: () => rowsOf(lines.end()) };
}
