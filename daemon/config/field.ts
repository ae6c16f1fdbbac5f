/** What people are told about each field of the house file: one note serves faults, schema and documentation. */

import { z } from 'zod';
import type { FaultCode } from '../../shared/contract/faults.ts';

/** What is known of a field beyond its type. */
export type FieldNote = {
  /** What it is for, one or two sentences. */
  says: string;
  /** What it must be, to follow "must be". */
  rule: string;
  /** What to do where it is not; a sentence. */
  advice: string;
  /** Values that are right. */
  examples?: readonly (string | number | boolean)[];
  /** The code where the value breaks the rule and the schema says no nearer one. */
  fault?: FaultCode;
  /** True where a fault must not repeat the value, since people may have put a secret there. */
  isPrivate?: true;
};

const notes = z.registry<FieldNote>();

/** Ties a note to a schema; the schema's type stays as it is. */
export function field<T extends z.ZodType>(schema: T, note: FieldNote): T {
  const described = schema.meta({
    description: note.says,
    ...(note.examples === undefined ? {} : { examples: [...note.examples] }),
  });
  notes.add(described, note);
  return described;
}

type Def = z.core.$ZodTypes['_zod']['def'];

/** The schema's own definition, which zod publishes for tools that walk schemas. */
function defOf(schema: z.core.$ZodType): Def {
  return (schema as z.core.$ZodTypes)._zod.def;
}

/** The schema inside of what only makes it optional, gives it a default or turns its value. */
function unwrapOnce(schema: z.core.$ZodType): z.core.$ZodType | null {
  const def = defOf(schema);
  switch (def.type) {
    case 'optional':
    case 'default':
    case 'prefault':
    case 'nullable':
      return def.innerType;
    case 'pipe':
      return def.in;
    default:
      return null;
  }
}

/** A schema with its note and whether it may be left out, and what then stands for it. */
export type Field = { schema: z.core.$ZodType; note: FieldNote | null; optional: boolean; fallback: unknown };

/** Looks through the wrappers of a schema; the outermost note counts. */
export function fieldOf(schema: z.core.$ZodType): Field {
  let inner: z.core.$ZodType | null = schema;
  let last = schema;
  let note: FieldNote | null = null;
  let optional = false;
  let fallback: unknown;
  while (inner !== null) {
    last = inner;
    note ??= notes.get(inner as never) ?? null;
    const def = defOf(inner);
    if (def.type === 'optional' || def.type === 'default' || def.type === 'prefault') optional = true;
    if (def.type === 'default' || def.type === 'prefault') fallback = def.defaultValue;
    inner = unwrapOnce(inner);
  }
  return { schema: last, note, optional, fallback };
}

/** The fields of an object schema by name, or null where the schema is no object. */
export function shapeOf(schema: z.core.$ZodType): Readonly<Record<string, z.core.$ZodType>> | null {
  const def = defOf(fieldOf(schema).schema);
  return def.type === 'object' ? def.shape : null;
}

/** What a list or a mapping holds, or null where the schema is neither. */
export function elementOf(schema: z.core.$ZodType): z.core.$ZodType | null {
  const def = defOf(fieldOf(schema).schema);
  if (def.type === 'array') return def.element;
  return def.type === 'record' ? def.valueType : null;
}

/** The kinds of a union that is told apart by `kind`, or null where the schema is none. */
export function kindsOf(schema: z.core.$ZodType): Readonly<Record<string, z.core.$ZodType>> | null {
  const def = defOf(fieldOf(schema).schema);
  if (def.type !== 'union') return null;
  return Object.fromEntries(def.options.map((option) => [kindOf(option), option]));
}

function kindOf(option: z.core.$ZodType): string {
  const kind = shapeOf(option)?.kind;
  const def = kind === undefined ? null : defOf(fieldOf(kind).schema);
  return def?.type === 'literal' ? String(def.values[0]) : '';
}

/**
 * The schema at a path of a value, where the value itself says which kind of a union holds; null where the
 * path leaves the schema.
 */
export function schemaAt(
  root: z.core.$ZodType,
  path: readonly PropertyKey[],
  value: unknown,
): z.core.$ZodType | null {
  let schema: z.core.$ZodType = root;
  let here = value;
  for (const key of path) {
    const kinds = kindsOf(schema);
    const chosen = kinds === null ? schema : kinds[String(childOf(here, 'kind'))];
    if (chosen === undefined) return null;
    const shape = shapeOf(chosen);
    const next = shape === null ? elementOf(chosen) : (shape[String(key)] ?? null);
    if (next === null) return null;
    schema = next;
    here = childOf(here, key);
  }
  return schema;
}

/** What stands under a key of a plain value; undefined where there is nothing. */
export function childOf(value: unknown, key: PropertyKey): unknown {
  if (typeof value !== 'object' || value === null || !Object.hasOwn(value, key)) return undefined;
  return (value as Record<PropertyKey, unknown>)[key];
}
