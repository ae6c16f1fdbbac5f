/** Temperatures as files write them, to °C within what a probe of a dairy can show. */
import { tempCMax, tempCMin } from '../../../probes/wire/decoded.ts';
import { celsiusOf } from '../../../shared/units/celsius.ts';

export type FileUnit = 'C' | 'F' | 'K';
export type ValueForm = { unit: FileUnit; decimal: '.' | ',' };

/** Reads a text to °C; a text that is no such temperature gives the rule that it breaks. */
export type ReadValue = (text: string) => number | string;

const numeral = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$/;

export function openFileValue({ unit, decimal }: ValueForm): ReadValue {
  return (text) => {
    const plain = decimal === ',' ? text.replace(',', '.') : text;
    if (!numeral.test(plain)) return `must hold a temperature, got ${text === '' ? 'nothing' : quote(text)}`;
    const tempC = celsiusOf(Number(plain), unit);
    if (tempC >= tempCMin && tempC <= tempCMax) return tempC;
    return `must hold a temperature from ${tempCMin} to ${tempCMax} °C, got ${quote(text)}`;
  };
}

/** The most characters of a cell that a fault shows. */
const quotedMax = 40;

/** A cell's text for a fault: quoted, on one line, cut. */
export function quote(text: string): string {
  return JSON.stringify(text.length > quotedMax ? `${text.slice(0, quotedMax)}…` : text);
}
