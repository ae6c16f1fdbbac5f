/** Rows of a CSV logged elsewhere as readings, by a mapping of its columns. */
import { plainIdPattern } from '../../../shared/contract/ids.ts';
import { longColumns } from '../forms/csv-form.ts';
import { flagsOfWords } from '../forms/form-reading.ts';
import { type CsvRecord, openCsvRecords } from './csv-records.ts';
import { type Decoder, type FileRow, rowCharsMax } from './decoder.ts';
import type { ReadTime } from './file-time.ts';
import { quote, type ReadValue } from './file-value.ts';

/** Which columns are what, by their names in the head line or by their numbers from 1. */
export type CsvMapping = {
  separator: string;
  /** Lines before the head line. */
  skip: number;
  /** The column of instants. */
  at: string;
  /** Columns of values, each of one probe; with none, see `value`. */
  columns: readonly { probe: string; column: string }[];
  /** One column of values, with the probe in another column or the same for all. */
  value: { column: string; probe: { column: string } | { id: string } } | null;
};

type Column = { index: number; probe: string };

/** Where everything stands, once the head line is read. */
type Layout = { at: number; columns: Column[]; probe: number | null; flags: number | null };

export type CsvImport = { mapping: CsvMapping; readTime: ReadTime; readValue: ReadValue };

/**
 * Reads with a mapping. Without columns given, a file of our own export is known by its head line; of any
 * other, each column whose name is a probe's id is that probe, as `springhouse replay` takes it. A head
 * line that lacks a column is one fault, and nothing after it is read.
 */
export function openCsvImport(options: CsvImport): Decoder {
  const { mapping } = options;
  const records = openCsvRecords(mapping.separator);
  let skipped = 0;
  let layout: Layout | string | null = null;

  const rowsOf = (found: readonly CsvRecord[]): FileRow[] => {
    const rows: FileRow[] = [];
    for (const record of found) {
      if (skipped < mapping.skip) {
        skipped += 1;
      } else if (layout === null) {
        layout =
          record.cells === null
            ? tooLong
            : layoutOf(
                record.cells.map((cell) => cell.trim()),
                mapping,
              );
        if (typeof layout === 'string') rows.push({ line: record.line, fault: layout });
      } else if (typeof layout !== 'string') addRows(rows, record, { ...options, layout });
    }
    return rows;
  };
  return { push: (text) => rowsOf(records.push(text)), end: () => rowsOf(records.end()) };
}

const tooLong = `must have at most ${rowCharsMax} characters, got more`;

function layoutOf(head: readonly string[], mapping: CsvMapping): Layout | string {
  const indexOf = (column: string): number => {
    const named = head.indexOf(column);
    return named !== -1 || !/^\d{1,4}$/.test(column) || Number(column) < 1 || Number(column) > head.length
      ? named
      : Number(column) - 1;
  };
  const lacking = (column: string) =>
    `must have a column ${quote(column)}, got ${head.map(quote).join(', ')}`;
  const at = indexOf(mapping.at);
  if (at === -1) return lacking(mapping.at);
  if (mapping.value !== null) {
    const { column, probe } = mapping.value;
    const value = indexOf(column);
    if (value === -1) return lacking(column);
    if ('id' in probe) return { at, columns: [{ index: value, probe: probe.id }], probe: null, flags: null };
    const named = indexOf(probe.column);
    return named === -1
      ? lacking(probe.column)
      : { at, columns: [{ index: value, probe: '' }], probe: named, flags: null };
  }
  if (mapping.columns.length > 0) {
    const columns = mapping.columns.map(({ probe, column }) => ({ probe, index: indexOf(column) }));
    const missing = columns.findIndex(({ index }) => index === -1);
    return missing === -1
      ? { at, columns, probe: null, flags: null }
      : lacking(mapping.columns[missing]?.column ?? '');
  }
  return ownLayout(head, at);
}

function ownLayout(head: readonly string[], at: number): Layout | string {
  const [, probe, celsius, flags] = longColumns;
  if (head.includes(probe) && head.includes(celsius)) {
    const columns = [{ index: head.indexOf(celsius), probe: '' }];
    const withFlags = head.indexOf(flags);
    return { at, columns, probe: head.indexOf(probe), flags: withFlags === -1 ? null : withFlags };
  }
  const columns = head.flatMap((name, index) => (index === at ? [] : [{ index, probe: name }]));
  const stranger = columns.find(({ probe: name }) => !plainIdPattern.test(name));
  if (columns.length > 0 && stranger === undefined) return { at, columns, probe: null, flags: null };
  return `must name each column of values by a probe's id, got ${quote(stranger?.probe ?? '')}; say with --column PROBE=COLUMN which is which`;
}

function addRows(
  rows: FileRow[],
  { line, cells }: CsvRecord,
  { layout, readTime, readValue }: CsvImport & { layout: Layout },
): void {
  const add = (fault: string) => rows.push({ line, fault });
  if (cells === null) return void add(tooLong);
  const at = (cells[layout.at] ?? '').trim();
  const atMs = readTime(at);
  if (atMs === null) return void add(`must hold an instant of the form given, got ${quote(at)}`);
  const flags = layout.flags === null ? 0 : flagsOfWords((cells[layout.flags] ?? '').trim());
  if (flags === null)
    return void add(`must hold flags that are known, got ${quote(cells[layout.flags ?? 0] ?? '')}`);
  for (const { index, probe: fixed } of layout.columns) {
    const text = (cells[index] ?? '').trim();
    // An empty cell is no reading, as loggers leave it.
    if (text === '') continue;
    const probe = layout.probe === null ? fixed : (cells[layout.probe] ?? '').trim();
    const tempC = readValue(text);
    if (!plainIdPattern.test(probe)) add(`must name a probe by its id, got ${quote(probe)}`);
    else if (typeof tempC === 'string') add(tempC);
    else rows.push({ line, reading: { probe, atMs, tempC, flags } });
  }
}
