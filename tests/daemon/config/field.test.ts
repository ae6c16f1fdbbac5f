import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { elementOf, fieldOf, kindsOf, schemaAt, shapeOf } from '../../../daemon/config/field.ts';
import { houseFile } from '../../../daemon/config/house-file.ts';

/** Every field of the house file by its path, and whether it has a note. */
function fieldsUnder(schema: z.core.$ZodType, path: string): [string, boolean][] {
  const kinds = kindsOf(schema);
  if (kinds !== null)
    return Object.entries(kinds).flatMap(([kind, one]) => fieldsUnder(one, `${path}(${kind})`));
  const shape = shapeOf(schema);
  if (shape !== null) {
    return Object.entries(shape).flatMap(([key, one]) => [
      [`${path}.${key}`, fieldOf(one).note !== null] as [string, boolean],
      ...fieldsUnder(one, `${path}.${key}`),
    ]);
  }
  const element = elementOf(schema);
  return element === null ? [] : fieldsUnder(element, `${path}[]`);
}

describe('the notes of the house file', () => {
  it('explain every field but the kinds of sources and ways, which tell them apart', () => {
    const fields = fieldsUnder(houseFile, '');
    expect(fields.length).toBeGreaterThan(45);
    expect(fields.filter(([, noted]) => !noted).map(([path]) => path)).toEqual([
      '.sources[](serial).kind',
      '.sources[](mqtt).kind',
      '.sources[](onewire).kind',
      '.ways[](command).kind',
      '.ways[](email).kind',
      '.ways[](webhook).kind',
      '.ways[](mqtt).kind',
    ]);
  });
});

describe('schemaAt', () => {
  it('follows the kind that the value itself says', () => {
    const value = { sources: [{ kind: 'onewire' }, { kind: 'serial' }, { kind: 'smoke' }] };
    const rule = (path: PropertyKey[]) => {
      const schema = schemaAt(houseFile, path, value);
      return schema === null ? null : fieldOf(schema).note?.rule;
    };
    expect(rule(['sources', 0, 'path'])).toBe('the path of a folder');
    expect(rule(['sources', 1, 'path'])).toBe('the path of a serial device');
    expect(rule(['sources', 2, 'path'])).toBeNull();
    expect(rule(['nowhere', 0])).toBeNull();
  });
});

describe('fieldOf', () => {
  it('looks through what makes a field optional, and knows what then stands for it', () => {
    expect(fieldOf(z.int().default(3))).toMatchObject({ optional: true, fallback: 3, note: null });
    expect(fieldOf(z.int())).toMatchObject({ optional: false, fallback: undefined });
  });
});
