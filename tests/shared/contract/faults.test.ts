import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { faults } from '../../../shared/contract/faults.ts';

/** The text of every source file but the catalogue itself. */
function sources(): { path: string; text: string }[] {
  return ['shared', 'probes', 'daemon', 'dashboard', 'deploy'].flatMap((room) =>
    readdirSync(room, { recursive: true, encoding: 'utf8' })
      .filter((name) => /\.tsx?$/.test(name))
      .filter((name) => !/node_modules|(^|\/)dist\/|^contract\/\w+-faults\.ts$/.test(name))
      .map((name) => ({ path: join(room, name), text: readFileSync(join(room, name), 'utf8') })),
  );
}

/** Codes of other programs, and names that are no codes. */
const foreign = [
  // Fastify's errors, which are told on as codes of ours.
  /^FST_ERR_/,
  // What the YAML parser calls a key that is written twice.
  /^DUPLICATE_KEY$/,
  // Node's own.
  /^ERR_OUT_OF_RANGE$/,
  // Environment variables.
  /^SPRINGHOUSE_/,
];

/** What looks like a code at the beginning of a text: `'CODE_LIKE'` or `'CODE_LIKE: …`. */
const codeLike = /(?<=['"`])[A-Z][A-Z0-9]*_[A-Z0-9_]*[A-Z0-9](?=['"`:])/g;

describe('the catalogue of error codes', () => {
  it('holds every code that the source says', () => {
    const files = sources();
    expect(files.length).toBeGreaterThan(60);
    const known = new Set<string>(Object.keys(faults));
    const strays = files.flatMap(({ path, text }) =>
      (text.match(codeLike) ?? [])
        .filter((code) => !known.has(code) && !foreign.some((pattern) => pattern.test(code)))
        .map((code) => `${path}: ${code}`),
    );
    expect(strays).toEqual([]);
  });

  it('holds no code that the source never says', () => {
    const all = sources()
      .map(({ text }) => text)
      .join('\n');
    const unsaid = Object.keys(faults).filter((code) => !new RegExp(`\\b${code}\\b`).test(all));
    expect(unsaid).toEqual([]);
  });

  it('says what each code means and what to do, in whole sentences', () => {
    const sentence = /^[A-Zh][^\n]*\.$/;
    const broken = Object.entries(faults).filter(
      ([, { meaning, whatToDo }]) => !sentence.test(meaning) || !sentence.test(whatToDo),
    );
    expect(broken).toEqual([]);
  });
});
