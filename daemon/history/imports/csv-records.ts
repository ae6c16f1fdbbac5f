/** CSV (RFC 4180) in pieces: records out, with quoted cells that may hold separators and line breaks. */
import { rowCharsMax } from './decoder.ts';

/** One record and the line on which it begins; null cells where it is longer than `rowCharsMax`. */
export type CsvRecord = { line: number; cells: string[] | null };

export type CsvRecords = { push(text: string): CsvRecord[]; end(): CsvRecord[] };

/** Opens the reader; empty lines are left out. */
export function openCsvRecords(separator: string): CsvRecords {
  let held = '';
  let line = 1;
  let isSkipping = false;

  function take(text: string, isEnd: boolean): CsvRecord[] {
    held += text;
    const records: CsvRecord[] = [];
    let start = 0;
    for (;;) {
      const end = recordEnd(held, start);
      if (end === -1) break;
      record(held.slice(start, end), records);
      start = end + 1;
    }
    held = held.slice(start);
    if (isEnd && held !== '') record(held, records);
    else if (held.length > rowCharsMax) {
      if (!isSkipping) records.push({ line, cells: null });
      line += breaksIn(held);
      held = '';
      isSkipping = true;
    }
    return records;
  }

  function record(raw: string, records: CsvRecord[]): void {
    const text = raw.endsWith('\r') ? raw.slice(0, -1) : raw;
    if (isSkipping) isSkipping = false;
    else if (text.length > rowCharsMax) records.push({ line, cells: null });
    else if (text.trim() !== '') records.push({ line, cells: cellsOf(text, separator) });
    line += breaksIn(raw) + 1;
  }

  return {
    push: (text) =>
      take(line === 1 && held === '' && text.startsWith('\ufeff') ? text.slice(1) : text, false),
    end: () => take('', true),
  };
}

/** The index of the line break that ends the record from `start`, outside of quotes; -1 where it is not there yet. */
function recordEnd(text: string, start: number): number {
  let end = text.indexOf('\n', start);
  const quote = text.indexOf('"', start);
  if (quote === -1 || end === -1 || quote > end) return end;
  let isQuoted = false;
  for (let index = quote; index < text.length; index++) {
    const code = text.charCodeAt(index);
    if (code === 0x22) isQuoted = !isQuoted;
    else if (code === 0x0a && !isQuoted) return index;
    if (index - start > rowCharsMax) break;
  }
  // A quote that nobody closes must not swallow the file: past the limit the line break counts.
  end = text.length - start > rowCharsMax ? text.indexOf('\n', start) : -1;
  return end;
}

function breaksIn(text: string): number {
  let count = 0;
  for (let at = text.indexOf('\n'); at !== -1; at = text.indexOf('\n', at + 1)) count += 1;
  return count;
}

function cellsOf(text: string, separator: string): string[] {
  if (!text.includes('"')) return text.split(separator);
  const cells: string[] = [];
  let cell = '';
  let isQuoted = false;
  for (let index = 0; index < text.length; index++) {
    const sign = text[index] as string;
    if (isQuoted) {
      if (sign !== '"') cell += sign;
      else if (text[index + 1] === '"') cell += text[++index];
      else isQuoted = false;
    } else if (sign === '"') isQuoted = true;
    else if (sign === separator) {
      cells.push(cell);
      cell = '';
    } else cell += sign;
  }
  cells.push(cell);
  return cells;
}
