/** The page that documents each field of the house file. */

import { readFileSync } from 'node:fs';
import type { z } from 'zod';
import { elementOf, type Field, fieldOf, kindsOf, shapeOf } from '../../daemon/config/field.ts';
import { houseFile } from '../../daemon/config/house-file.ts';
import { tableLines } from './table.ts';

type Schema = z.core.$ZodType;

const example = new URL('../springhouse.example.yaml', import.meta.url);

/** `house-file.md`: a section for each part of the file, a row for each of its fields, then the example. */
export function houseFilePage(): string {
  const parts = Object.entries(shapeOf(houseFile) ?? {});
  const scalars = parts.filter(([, schema]) => fieldsIn(schema) === null);
  return [
    '# The house file',
    '',
    '<!-- Made by npm run docs from daemon/config/house-file.ts; changes here are overwritten. -->',
    '',
    '`springhouse.yaml` tells what is watched, where it stands and how it is heard. It is YAML 1.2, of at most',
    '256 KiB, and it is read strictly: `springhouse check FILE` tells every fault at once, each with its line.',
    'Quantities carry their unit: `40 F`, `4.4 C`, `60m`, `0.95 L`, `1 qt`, `1420 m`. US measures are those of NIST.',
    'Passwords never stand in it. Editors complete it by the schema beside this page:',
    '`# yaml-language-server: $schema=springhouse.schema.json` as its first line.',
    '',
    ...table(scalars),
    ...parts.filter(([, schema]) => fieldsIn(schema) !== null).flatMap(([key, schema]) => part(key, schema)),
    '## An example',
    '',
    '```yaml',
    readFileSync(example, 'utf8').trimEnd(),
    '```',
    '',
  ].join('\n');
}

/** The fields of a mapping, or of what a list holds; null for a plain value. */
function fieldsIn(schema: Schema): Record<string, Schema> | null {
  const inner = elementOf(schema) ?? schema;
  return shapeOf(inner) ?? kindsOf(inner);
}

function part(path: string, schema: Schema): string[] {
  const { note, optional } = fieldOf(schema);
  const inner = elementOf(schema) ?? schema;
  const kinds = kindsOf(inner);
  const head = [`## ${path}`, '', `${note?.says ?? ''}${optional ? ' May be left out.' : ''}`, ''];
  if (kinds === null) return [...head, ...table(Object.entries(shapeOf(inner) ?? {}))];
  return [...head, ...Object.entries(kinds).flatMap(([kind, one]) => kindPart(path, kind, one))];
}

function kindPart(path: string, kind: string, schema: Schema): string[] {
  const fields = Object.entries(shapeOf(schema) ?? {});
  const lists = fields.filter(([, one]) => elementOf(one) !== null && fieldsIn(one) !== null);
  return [
    `### ${path}, kind: ${kind}`,
    '',
    ...table(fields.filter(([key]) => key !== 'kind')),
    ...lists.flatMap(([key, one]) => [`Each of ${key}:`, '', ...table(Object.entries(fieldsIn(one) ?? {}))]),
  ];
}

function table(fields: readonly [string, Schema][]): string[] {
  const rows = fields.map(([key, schema]) => row(key, fieldOf(schema)));
  return [...tableLines(['field', 'must be', 'unless given', 'what for'], rows), ''];
}

function row(key: string, { note, optional, fallback }: Field): string[] {
  const unlessGiven = optional ? fallbackText(fallback) : 'must be given';
  return [`\`${key}\``, cell(note?.rule ?? ''), unlessGiven, cell(note?.says ?? '')];
}

function fallbackText(fallback: unknown): string {
  if (fallback === undefined) return '-';
  if (Array.isArray(fallback)) return 'none';
  return fallback === '' ? '`""`' : `\`${typeof fallback === 'object' ? 'as below' : String(fallback)}\``;
}

function cell(text: string): string {
  return text.replaceAll('<', '&lt;');
}
