/** What a schema finds wrong with a house file, in the words of the fields' own notes. */

import type { z } from 'zod';
import type { FaultCode } from '../../shared/contract/faults.ts';
import { type Fault, faultOf, pathText, valueText } from './fault.ts';
import { childOf, type FieldNote, fieldOf, kindsOf, schemaAt, shapeOf } from './field.ts';
import { houseFile } from './house-file.ts';
import type { HouseText } from './house-text.ts';
import { nearWord } from './near-word.ts';

type Issue = z.core.$ZodIssue;

const unnoted: FieldNote = {
  says: '',
  rule: 'of another type',
  advice: 'See the page of the house file for what belongs here.',
};

/** Turns one issue of the schema into faults; an issue of unknown keys names one fault each. */
export function faultsOfIssue(issue: Issue, text: HouseText): Fault[] {
  if (issue.code === 'unrecognized_keys') {
    return issue.keys.map((key) => unknownFault([...issue.path, key], text));
  }
  if (issue.code === 'invalid_union' && 'discriminator' in issue && issue.discriminator !== undefined) {
    return [kindFault(issue.path, text)];
  }
  return [valueFault(issue, text)];
}

function valueFault(issue: Issue, text: HouseText): Fault {
  const { path } = issue;
  const value = valueAt(text.value, path);
  const isKey = issue.code === 'invalid_key';
  const note = noteAt(path, text.value, isKey);
  const missing = value === undefined || value === null;
  const code = missing ? 'HOUSE_MISSING' : (faultIn(issue) ?? codeOf(issue, note, value));
  const near = issue.code === 'invalid_value' ? nearestOf(value, issue.values.map(String)) : null;
  const nearZone = path.at(-1) === 'zone' ? nearestOf(value, Intl.supportedValuesOf('timeZone')) : null;
  return faultOf({
    code,
    path: pathText(path),
    rule: note.rule,
    got: gotText(code, note, isKey ? path.at(-1) : value),
    spot: text.spotOf(path, isKey ? 'key' : 'value'),
    advice: didYouMean(near ?? nearZone) + note.advice,
  });
}

function gotText(code: FaultCode, note: FieldNote, value: unknown): string {
  if (code === 'HOUSE_SECRET') return 'one with a secret in it';
  return note.isPrivate && code !== 'HOUSE_MISSING' ? 'another value' : valueText(value);
}

function codeOf(issue: Issue, note: FieldNote, value: unknown): FaultCode {
  if (issue.code === 'too_small' || issue.code === 'too_big') return 'HOUSE_RANGE';
  if (issue.code === 'invalid_type' && issue.expected === 'int' && typeof value === 'number') {
    return 'HOUSE_RANGE';
  }
  if (issue.code === 'invalid_type' && note.fault !== 'HOUSE_UNIT') return 'HOUSE_TYPE';
  return note.fault ?? 'HOUSE_TYPE';
}

function faultIn(issue: Issue): FaultCode | null {
  if (issue.code !== 'custom') return null;
  return (issue.params?.fault as FaultCode | undefined) ?? null;
}

function noteAt(path: readonly PropertyKey[], value: unknown, isKey: boolean): FieldNote {
  if (isKey) {
    const holder = schemaAt(houseFile, path.slice(0, -1), value);
    const def = holder === null ? null : (fieldOf(holder).schema as z.core.$ZodTypes)._zod.def;
    return (def?.type === 'record' ? fieldOf(def.keyType).note : null) ?? unnoted;
  }
  const schema = schemaAt(houseFile, path, value);
  if (schema === null) return unnoted;
  const { note } = fieldOf(schema);
  if (note !== null) return note;
  const last = path.at(-1);
  if (typeof last !== 'number') return unnoted;
  const fields = Object.keys(shapeOf(schema) ?? {});
  return {
    ...unnoted,
    rule:
      fields.length > 0 ? `a mapping with ${fields.join(', ')}` : 'a mapping that begins with id and kind',
    advice: 'Write each field as name: value, all indented alike.',
  };
}

function unknownFault(path: readonly PropertyKey[], text: HouseText): Fault {
  const key = String(path.at(-1));
  const parent = path.slice(0, -1);
  const schema = schemaAt(houseFile, parent, text.value) ?? houseFile;
  const kinds = kindsOf(schema);
  const kind = String(childOf(valueAt(text.value, parent), 'kind'));
  const fields = Object.keys(shapeOf(kinds?.[kind] ?? schema) ?? {});
  const near = nearWord(key, fields);
  if (near === null && /pass(word|wd|phrase)?$|secret|token|credential/i.test(key)) {
    return secretFault(path, text);
  }
  return faultOf({
    code: 'HOUSE_UNKNOWN',
    path: pathText(path),
    rule: 'a field of the house file',
    got: 'an unknown one',
    spot: text.spotOf(path, 'key'),
    advice: `${didYouMean(near)}The fields here are ${fields.join(', ')}.`,
  });
}

function secretFault(path: readonly PropertyKey[], text: HouseText): Fault {
  const secret = path[0] === 'mirrors' ? 'token' : 'password';
  return faultOf({
    code: 'HOUSE_SECRET',
    path: pathText(path),
    rule: 'kept out of the house file',
    got: 'a secret',
    spot: text.spotOf(path, 'key'),
    advice: `Put it in a file of its own and name that in ${secret}File, or name a variable in ${secret}Env.`,
  });
}

function kindFault(path: readonly PropertyKey[], text: HouseText): Fault {
  const schema = schemaAt(houseFile, path.at(-1) === 'kind' ? path.slice(0, -1) : path, text.value);
  const kinds = Object.keys((schema === null ? null : kindsOf(schema)) ?? {});
  const full = path.at(-1) === 'kind' ? path : [...path, 'kind'];
  const value = valueAt(text.value, full);
  const missing = value === undefined || value === null;
  return faultOf({
    code: missing ? 'HOUSE_MISSING' : 'HOUSE_CHOICE',
    path: pathText(full),
    rule: `one of ${kinds.join(', ')}`,
    got: valueText(value),
    spot: text.spotOf(full),
    advice: `${didYouMean(nearestOf(value, kinds))}Choose one of these words; the other fields follow from it.`,
  });
}

function nearestOf(value: unknown, words: readonly string[]): string | null {
  return typeof value === 'string' && !words.includes(value) ? nearWord(value, words) : null;
}

function didYouMean(word: string | null): string {
  return word === null ? '' : `Did you mean ${word}? `;
}

function valueAt(root: unknown, path: readonly PropertyKey[]): unknown {
  return path.reduce<unknown>(childOf, root);
}
