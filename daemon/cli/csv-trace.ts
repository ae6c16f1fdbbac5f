/** A CSV of readings as `replay` takes it: first column `at`, then a column a probe. */
import { tempCMax, tempCMin } from '../../probes/wire/decoded.ts';
import { plainIdPattern } from '../../shared/contract/ids.ts';

/** One line of a trace: an instant and what each probe read then, °C; an empty cell is no reading. */
export type TraceRow = { atMs: number; tempsC: (number | null)[] };
export type Trace = { probes: string[]; rows: TraceRow[] };

/** A trace with what was left out of it: values that no wire would have taken, as they were not live. */
export type ReadTrace = { trace: Trace; leftOut: string[] };

/** The latest instant that is read, epoch ms: the last of the year 9999, as far as RFC 3339 can write. */
const instantMsMax = 253_402_300_799_999;

const decimal = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$/;
const rfc3339 = /^\d{4}-\d{2}-\d{2}[Tt ]([01]\d|2[0-3]):\d{2}:\d{2}(\.\d+)?([Zz]|[+-]\d{2}:\d{2})$/;

/** Reads a trace (RFC 4180); every line that breaks a rule is a fault with its number, and nothing is then returned. */
export function parseTrace(text: string, name: string): ReadTrace | { faults: string[] } {
  const lines = text.split(/\r?\n/);
  const head = cells(lines[0] ?? '').map((cell) => cell.trim());
  const probes = head.slice(1);
  const faults = headFaults(head, name);
  const rows: TraceRow[] = [];
  const leftOut: string[] = [];
  for (const [index, line] of lines.entries()) {
    if (index === 0 || line.trim() === '') continue;
    const row = parseRow(line, probes);
    if (typeof row === 'string') faults.push(`TRACE_ROW: line ${index + 1} of ${name} ${row}`);
    else {
      rows.push(row);
      leftOut.push(...leaveOut(row, probes, `line ${index + 1} of ${name}`));
    }
    if (faults.length >= faultsMax) break;
  }
  return faults.length > 0 ? { faults } : { trace: { probes, rows }, leftOut };
}

/** Faults told of one file; after this many the rest is not read. */
const faultsMax = 20;

function headFaults(head: string[], name: string): string[] {
  const faults: string[] = [];
  if (head[0] !== 'at') {
    faults.push(
      `TRACE_HEAD: the first column of ${name} must be at, got ${head[0] || 'nothing'}. Name it at and put RFC 3339 or epoch ms in it.`,
    );
  }
  if (head.length < 2) faults.push(`TRACE_HEAD: ${name} must have a column a probe, got none. Add one.`);
  const named = head.slice(1).find((cell) => !plainIdPattern.test(cell));
  if (named !== undefined) {
    faults.push(
      `TRACE_HEAD: a column of ${name} must be named by a probe's id (a letter or digit, then letters, digits, ".", "_" or "-", 64 at most), got ${named || 'nothing'}. Rename it.`,
    );
  }
  const twice = head.find((cell, index) => head.indexOf(cell) !== index);
  if (twice !== undefined) {
    faults.push(`TRACE_HEAD: columns of ${name} must have different names, got ${twice} twice. Rename one.`);
  }
  return faults;
}

function parseRow(line: string, probes: readonly string[]): TraceRow | string {
  const [at = '', ...values] = cells(line);
  const atMs = parseInstant(at.trim());
  if (atMs === null)
    return `must begin with RFC 3339 or whole epoch ms, got ${at || 'nothing'}. Mend the cell.`;
  if (values.length > probes.length) {
    return `must have ${probes.length + 1} cells, got ${values.length + 1}. Mend the line.`;
  }
  const tempsC: (number | null)[] = [];
  for (const value of values) {
    const trimmed = value.trim();
    const tempC = trimmed === '' ? null : decimal.test(trimmed) ? Number(trimmed) : Number.NaN;
    if (tempC !== null && !Number.isFinite(tempC)) {
      return `must hold temperatures in °C, got ${trimmed}. Leave the cell empty where there is no reading.`;
    }
    tempsC.push(tempC);
  }
  return { atMs, tempsC };
}

/** Empties what no probe of a dairy can show, and says what it was. */
function leaveOut(row: TraceRow, probes: readonly string[], where: string): string[] {
  return row.tempsC.flatMap((tempC, column) => {
    if (tempC === null || (tempC >= tempCMin && tempC <= tempCMax)) return [];
    row.tempsC[column] = null;
    return [
      `WIRE_RANGE: ${probes[column]} in ${where} must be from ${tempCMin} to ${tempCMax} °C, got ${tempC}. It is left out, as it would be live.`,
    ];
  });
}

/** An instant written as RFC 3339 or whole epoch milliseconds, from 1970 to 9999; null where it is neither. */
export function parseInstant(text: string): number | null {
  const atMs = /^\d{1,15}$/.test(text) ? Number(text) : parseRfc3339(text);
  return atMs >= 0 && atMs <= instantMsMax ? Math.round(atMs) : null;
}

function parseRfc3339(text: string): number {
  if (!rfc3339.test(text)) return Number.NaN;
  // The engine takes the 30th of February for the 2nd of March.
  const day = new Date(`${text.slice(0, 10)}T00:00:00Z`).getUTCDate();
  return day === Number(text.slice(8, 10)) ? Date.parse(text.replace(' ', 'T')) : Number.NaN;
}

function cells(line: string): string[] {
  if (!line.includes('"')) return line.split(',');
  const found: string[] = [];
  for (const match of line.matchAll(/(?:^|,)(?:"((?:[^"]|"")*)"|([^,]*))/g)) {
    found.push(match[1]?.replaceAll('""', '"') ?? match[2] ?? '');
  }
  return found;
}
