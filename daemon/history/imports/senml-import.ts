/** Readings in one SenML pack (RFC 8428) of any length, record by record. */
import { type Decoder, type FileRow, rowCharsMax } from './decoder.ts';
import type { ReadValue } from './file-value.ts';
import { readingOf } from './line-imports.ts';

type SenmlRecord = Readonly<Record<string, unknown>>;

/** What is in force from the records before (RFC 8428 §4.1). */
type Base = { bn: string; bt: number; bu: string; bv: number };

/**
 * Reads the records of one array as they come. Names and times are resolved as §4.6 says; times must be
 * absolute (§4.5.3: 2^28 s or more), since a file has no now. Records without a value are passed over.
 */
export function openSenmlImport({ readerOf }: { readerOf: (unit: 'C' | 'K') => ReadValue }): Decoder {
  const objects = openObjects();
  const base: Base = { bn: '', bt: 0, bu: '', bv: 0 };
  const readers = { Cel: readerOf('C'), K: readerOf('K') };

  function rowOf({ line, text }: { line: number; text: string | null }): FileRow[] {
    if (text === null) return [{ line, fault: `must have at most ${rowCharsMax} characters, got more` }];
    let record: SenmlRecord;
    try {
      record = JSON.parse(text) as SenmlRecord;
    } catch {
      return [{ line, fault: 'must be a JSON object, got a broken one' }];
    }
    const fault = takeBase(base, record);
    if (fault !== null) return [{ line, fault }];
    if (record.v === undefined) return [];
    const unit = String(record.u ?? base.bu);
    if (unit !== 'Cel' && unit !== 'K')
      return [{ line, fault: `must have the unit "Cel" or "K", got ${unit || 'none'}` }];
    const timeS = base.bt + Number(record.t ?? 0);
    const isAbsolute = Number.isFinite(timeS) && timeS >= 2 ** 28;
    const row = readingOf(
      { at: timeS, probe: base.bn + String(record.n ?? ''), celsius: base.bv + Number(record.v), flags: 0 },
      { readTime: () => (isAbsolute ? Math.round(timeS * 1000) : null), readValue: readers[unit] },
    );
    return [typeof row === 'string' ? { line, fault: row } : { line, reading: row }];
  }
  return {
    push: (text) => objects.push(text).flatMap(rowOf),
    end: () =>
      objects.end().map((line) => ({ line, fault: 'must be whole, got the end of the file within it' })),
  };
}

function takeBase(base: Base, record: SenmlRecord): string | null {
  for (const field of Object.keys(record)) {
    // §4.4: a field whose name ends so must be understood by whoever reads the pack.
    if (field.endsWith('_')) return `must have no field ${field}, which this release does not know`;
  }
  const { bn, bt, bu, bv } = record;
  if (bn !== undefined) base.bn = String(bn);
  if (bt !== undefined) base.bt = Number(bt);
  if (bu !== undefined) base.bu = String(bu);
  if (bv !== undefined) base.bv = Number(bv);
  return null;
}

type Objects = {
  push(text: string): { line: number; text: string | null }[];
  /** The line of an object that was begun and not closed; none where all are whole. */
  end(): number[];
};

/** Cuts the objects of an array out of a text that comes in pieces, by counting braces outside of strings. */
function openObjects(): Objects {
  let held = '';
  let depth = 0;
  let line = 1;
  let startLine = 1;
  let isText = false;
  let isEscaped = false;
  let isTooLong = false;
  return {
    push: (text) => {
      const found: { line: number; text: string | null }[] = [];
      let start = depth > 0 ? 0 : -1;
      for (let index = 0; index < text.length; index++) {
        const code = text.charCodeAt(index);
        if (code === 0x0a) line += 1;
        if (isText) {
          if (isEscaped) isEscaped = false;
          else if (code === 0x5c) isEscaped = true;
          else if (code === 0x22) isText = false;
        } else if (code === 0x22) isText = depth > 0;
        else if (code === 0x7b && depth++ === 0) {
          start = index;
          startLine = line;
        } else if (code === 0x7d && depth > 0 && --depth === 0) {
          const whole = held + text.slice(start, index + 1);
          found.push({ line: startLine, text: isTooLong || whole.length > rowCharsMax ? null : whole });
          held = '';
          isTooLong = false;
          start = -1;
        }
      }
      if (start !== -1) held += text.slice(start);
      if (held.length > rowCharsMax) {
        isTooLong = true;
        held = '';
      }
      return found;
    },
    end: () => (depth > 0 ? [startLine] : []),
  };
}
