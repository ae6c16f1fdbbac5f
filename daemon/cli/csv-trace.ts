/** A CSV of readings as `replay` takes it: first column `at`, then a column a probe. */

/** One line of a trace: an instant and what each probe read then, °C; an empty cell is no reading. */
export type TraceRow = { atMs: number; tempsC: (number | null)[] };
export type Trace = { probes: string[]; rows: TraceRow[] };

const rfc3339 = /^\d{4}-\d{2}-\d{2}[Tt ]\d{2}:\d{2}:\d{2}(\.\d+)?([Zz]|[+-]\d{2}:\d{2})$/;

/** Reads a trace (RFC 4180); every line that breaks a rule is a fault with its number, and nothing is then returned. */
export function parseTrace(text: string, name: string): { trace: Trace } | { faults: string[] } {
  const lines = text.split(/\r?\n/);
  const head = cells(lines[0] ?? '').map((cell) => cell.trim());
  const probes = head.slice(1);
  const faults = headFaults(head, name);
  const rows: TraceRow[] = [];
  for (const [index, line] of lines.entries()) {
    if (index === 0 || line.trim() === '') continue;
    const row = parseRow(line, probes);
    if (typeof row === 'string') faults.push(`TRACE_ROW: line ${index + 1} of ${name} ${row}`);
    else rows.push(row);
    if (faults.length >= faultsMax) break;
  }
  return faults.length > 0 ? { faults } : { trace: { probes, rows } };
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
    const tempC = trimmed === '' ? null : Number(trimmed);
    if (tempC !== null && !Number.isFinite(tempC)) {
      return `must hold temperatures in °C, got ${trimmed}. Leave the cell empty where there is no reading.`;
    }
    tempsC.push(tempC);
  }
  return { atMs, tempsC };
}

/** An instant written as RFC 3339 or whole epoch milliseconds; null where it is neither. */
export function parseInstant(text: string): number | null {
  if (/^-?\d{1,16}$/.test(text)) return Number(text);
  if (!rfc3339.test(text)) return null;
  const atMs = Date.parse(text.replace(' ', 'T'));
  return Number.isNaN(atMs) ? null : Math.round(atMs);
}

function cells(line: string): string[] {
  if (!line.includes('"')) return line.split(',');
  const found: string[] = [];
  for (const match of line.matchAll(/(?:^|,)(?:"((?:[^"]|"")*)"|([^,]*))/g)) {
    found.push(match[1]?.replaceAll('""', '"') ?? match[2] ?? '');
  }
  return found;
}
