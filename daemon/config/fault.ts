/** One thing that is wrong with a house file, and how it is put into words. */

import type { FaultCode } from '../../shared/contract/faults.ts';

/** A fault of a house file. `message` is what a person reads; line and column count from 1. */
export type Fault = { code: FaultCode; path: string; line: number; column: number; message: string };

/** Where in which file; line and column count from 1. */
export type Spot = { file: string; line: number; column: number };

export type FaultParts = {
  code: FaultCode;
  path: string;
  /** What the thing must be; follows "must be". */
  rule: string;
  /** What stands there instead, already as text. */
  got: string;
  spot: Spot;
  /** What to do, one or more sentences. */
  advice: string;
};

/** Makes a fault, worded `CODE: <path> must be <rule>, got <value> (file:line:column). <What to do>.` */
export function faultOf({ code, path, rule, got, spot, advice }: FaultParts): Fault {
  const { file, line, column } = spot;
  const message = `${code}: ${path} must be ${rule}, got ${got} (${file}:${line}:${column}). ${advice}`;
  return { code, path, line, column, message };
}

/** The longest value that a fault repeats; a longer one is cut and ends in an ellipsis. */
const valueTextMax = 60;

/** A value as a fault shows it, on one line and cut to a bearable length. */
export function valueText(value: unknown): string {
  if (value === undefined || value === null) return 'nothing';
  if (Array.isArray(value)) return 'a list';
  if (typeof value === 'object') return 'a mapping';
  const text = typeof value === 'string' ? JSON.stringify(value) : String(value);
  return text.length <= valueTextMax ? text : `${text.slice(0, valueTextMax - 1)}…`;
}

/** A path of keys and list positions as people write it: `probes[2].name`. */
export function pathText(path: readonly PropertyKey[]): string {
  const text = path.map((key) => (typeof key === 'number' ? `[${key}]` : `.${String(key)}`)).join('');
  return text === '' ? 'the file' : text.replace(/^\./, '');
}

/** Orders faults as they stand in the file. */
export function byPlace(a: Fault, b: Fault): number {
  return a.line - b.line || a.column - b.column || a.code.localeCompare(b.code);
}
