/** The page of all sentences, read from the source itself so that none can be left out. */

import { readdirSync, readFileSync } from 'node:fs';
import { parseSync } from 'oxc-parser';

const folder = new URL('../../shared/sentences/', import.meta.url);

/** What stands for a figure, a name or a time in a listed sentence. */
export const gap = '…';

type Node = { type: string; [key: string]: unknown };

/** Every text of `shared/sentences/` that a person may read, by file, in the order in which they stand. */
export function allSentences(): { file: string; texts: string[] }[] {
  return readdirSync(folder)
    .filter((file) => file.endsWith('.ts'))
    .sort()
    .map((file) => ({ file, texts: textsOf(file, readFileSync(new URL(file, folder), 'utf8')) }));
}

/** The texts of one file: string and template literals that hold words, each once. */
export function textsOf(file: string, source: string): string[] {
  const { program } = parseSync(file, source);
  const found = new Set<string>();
  visit(program as unknown, (node) => {
    const text = textOf(node);
    if (text !== null && isWords(text)) found.add(text.replace(/\s+/g, ' ').trim());
  });
  return [...found];
}

function textOf(node: Node): string | null {
  if (node.type === 'Literal' && typeof node.value === 'string') return node.value;
  if (node.type !== 'TemplateLiteral') return null;
  const parts = node.quasis as { value: { cooked: string } }[];
  return parts.map(({ value }) => value.cooked).join(gap);
}

/** Not ids, module names or codes: words have a space or end a sentence, and a letter. */
function isWords(text: string): boolean {
  return (
    /\p{L}/u.test(text) &&
    (/\p{L}\s|\s\p{L}/u.test(text.trim()) || /[.,;:]$/.test(text)) &&
    !text.startsWith('./')
  );
}

function visit(value: unknown, take: (node: Node) => void): void {
  if (Array.isArray(value)) {
    for (const each of value) visit(each, take);
  } else if (typeof value === 'object' && value !== null) {
    const node = value as Node;
    if (typeof node.type === 'string') take(node);
    if (node.type === 'ImportDeclaration') return;
    for (const each of Object.values(node)) visit(each, take);
  }
}

/** `sentences.md`: every sentence and part of one, by the file that says it. */
export function sentencesPage(): string {
  return [
    '# Every sentence',
    '',
    '<!-- Made by npm run docs from shared/sentences/; changes here are overwritten. -->',
    '',
    `What the house can say to a person, whole or in parts; ${gap} stands for a figure, a name, a time or another part.`,
    'A test reads this list for what no sentence may claim.',
    '',
    ...allSentences().flatMap(({ file, texts }) =>
      texts.length === 0
        ? []
        : [`## ${file.replace('.ts', '')}`, '', ...texts.map((text) => `- ${escaped(text)}`), ''],
    ),
  ].join('\n');
}

function escaped(text: string): string {
  return text.replace(/([*_<>`[\]])/g, '\\$1');
}
