/** The options of `springhouse history import`, read to a mapping. */
import { plainIdPattern } from '../../shared/contract/ids.ts';
import { isZone } from '../../shared/units/zone.ts';
import type { Values } from './parse-command.ts';

export const importForms = ['csv', 'jsonl', 'senml', 'lp'] as const;
export type ImportForm = (typeof importForms)[number];

/** What the command line says of a file; names of columns as typed. */
export type ImportOptions = {
  form: ImportForm;
  separator: string;
  decimal: '.' | ',';
  skip: number;
  at: string;
  columns: { probe: string; column: string }[];
  value: { column: string; probe: { column: string } | { id: string } } | null;
  time: string;
  zone: string | null;
  unit: 'C' | 'F' | 'K';
  write: boolean;
  leaveOutFaults: boolean;
};

/** The most lines that may stand before the head line. */
const skipMax = 1_000;

const separators: Readonly<Record<string, string>> = { ',': ',', ';': ';', tab: '\t', '|': '|' };

/** Reads the options; every one that breaks a rule is a fault. */
export function parseImportOptions(
  file: string,
  values: Values,
): { options: ImportOptions } | { faults: string[] } {
  const faults: string[] = [];
  const one = <const T extends string>(name: string, words: readonly T[], usual: T): T => {
    const typed = textOf(values[name]) ?? usual;
    const found = words.find((word) => word === typed);
    if (found === undefined) faults.push(faultText(name, `one of ${words.join(', ')}`, typed));
    return found ?? usual;
  };
  const form = one('form', importForms, formOfName(file));
  const separator = separators[one('separator', Object.keys(separators), ',')] ?? ',';
  const decimal = one('decimal', ['.', ','], '.');
  const skip = textOf(values.skip) ?? '0';
  if (!/^\d{1,4}$/.test(skip) || Number(skip) > skipMax) {
    faults.push(faultText('skip', `a whole number from 0 to ${skipMax}`, skip));
  }
  if (decimal === ',' && separator === ',') {
    faults.push(faultText('separator', 'other than a comma where the decimal sign is one', ','));
  }
  const zone = textOf(values.zone);
  if (zone !== null && !isZone(zone)) {
    faults.push(faultText('zone', 'a time zone of the IANA list, such as America/Denver', zone));
  }
  const columns = columnsOf(values, faults);
  const value = valueMapping(values, { columns, faults });
  const options: ImportOptions = {
    form,
    separator,
    decimal,
    skip: Number(skip),
    at: textOf(values.at) ?? 'at',
    columns,
    value,
    time: textOf(values.time) ?? 'auto',
    zone,
    unit: one('unit', ['C', 'F', 'K'], 'C'),
    write: values.write === true,
    leaveOutFaults: values['leave-out-faults'] === true,
  };
  return faults.length > 0 ? { faults } : { options };
}

function formOfName(file: string): ImportForm {
  const ending = file.slice(file.lastIndexOf('.') + 1).toLowerCase();
  return importForms.find((form) => form === ending) ?? 'csv';
}

function columnsOf(values: Values, faults: string[]): ImportOptions['columns'] {
  const typed = Array.isArray(values.column) ? values.column.map(String) : [];
  return typed.flatMap((text) => {
    const [probe = '', ...rest] = text.split('=');
    if (plainIdPattern.test(probe) && rest.join('=') !== '') return [{ probe, column: rest.join('=') }];
    faults.push(faultText('column', "a probe's id, = and the name or number of its column", text));
    return [];
  });
}

function valueMapping(
  values: Values,
  { columns, faults }: { columns: readonly unknown[]; faults: string[] },
): ImportOptions['value'] {
  const column = textOf(values.value);
  const [from, id] = [textOf(values['probe-column']), textOf(values.probe)];
  if (column === null) {
    if (from !== null || id !== null) {
      faults.push(faultText('value', 'given where --probe or --probe-column is', 'nothing'));
    }
    return null;
  }
  if (columns.length > 0) faults.push(faultText('value', 'left out where --column is given', column));
  if (id !== null && !plainIdPattern.test(id)) faults.push(faultText('probe', "a probe's id", id));
  if ((from === null) === (id === null)) {
    faults.push(
      faultText('value', 'given with either --probe or --probe-column', from === null ? 'neither' : 'both'),
    );
    return null;
  }
  return { column, probe: from === null ? { id: id ?? '' } : { column: from } };
}

function textOf(value: Values[string]): string | null {
  return typeof value === 'string' ? value : null;
}

function faultText(option: string, rule: string, got: string): string {
  return `CLI_ARGUMENT: --${option} must be ${rule}, got ${got}. springhouse history import --help says more.`;
}
