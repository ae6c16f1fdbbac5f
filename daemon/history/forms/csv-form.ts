/** Readings as CSV (RFC 4180, instants as RFC 3339): one a line, or one instant a line with a column a probe. */
import type { Encoder, EncoderOptions } from './encoder.ts';
import { type FormReading, wordsOfFlags } from './form-reading.ts';

/** RFC 4180 §2.1: each record ends in CRLF. */
const lineEnd = '\r\n';

/** The columns of a file of one reading a line. */
export const longColumns = ['at', 'probe', 'celsius', 'flags'] as const;

/** One reading a line with its flags: everything that the history holds of it. */
export function encodeCsv(): Encoder {
  return {
    head: () => `${longColumns.join(',')}${lineEnd}`,
    rows: (readings) => {
      let text = '';
      for (const { atMs, probe, tempC, flags } of readings) {
        text += `${instantOf(atMs)},${cell(probe)},${tempC},${wordsOfFlags(flags)}${lineEnd}`;
      }
      return text;
    },
    tail: () => '',
  };
}

/**
 * One instant a line, a column a probe, as `springhouse replay` takes it; flags are not in it. Readings must
 * come in order of their instants; two of one probe at one instant stand on two lines.
 */
export function encodeTrace({ probes }: EncoderOptions): Encoder {
  const columns = new Map(probes.map((probe, index) => [probe, index]));
  let atMs: number | null = null;
  let cells: string[] = [];
  const flush = (): string => {
    if (atMs === null) return '';
    const text = `${instantOf(atMs)},${Array.from(probes, (_, index) => cells[index] ?? '').join(',')}${lineEnd}`;
    atMs = null;
    cells = [];
    return text;
  };
  const add = (reading: FormReading): string => {
    const column = columns.get(reading.probe);
    if (column === undefined)
      throw new Error(`a trace must be told of ${reading.probe} before its first row`);
    const before = atMs !== reading.atMs || cells[column] !== undefined ? flush() : '';
    atMs = reading.atMs;
    cells[column] = String(reading.tempC);
    return before;
  };
  return {
    head: () => `${['at', ...probes].map(cell).join(',')}${lineEnd}`,
    rows: (readings) => {
      let text = '';
      for (const reading of readings) text += add(reading);
      return text;
    },
    tail: flush,
  };
}

function instantOf(atMs: number): string {
  return new Date(atMs).toISOString();
}

/** RFC 4180 §2.5 to §2.7: a cell with a comma, quote or line break is quoted, a quote in it doubled. */
function cell(text: string): string {
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
