/** The page of error codes. */

import type { FaultNote } from '../../shared/contract/fault-note.ts';
import { faultGroups } from '../../shared/contract/faults.ts';
import { tableLines } from './table.ts';

/** `faults.md`: every code of the catalogue in its order, one row each, a table for each group. */
export function faultsPage(): string {
  return [
    '# Error codes',
    '',
    '<!-- Made by npm run docs from shared/contract/faults.ts; changes here are overwritten. -->',
    '',
    'Whatever goes wrong is told as `CODE: <thing> must be <rule>, got <value>. <What to do>.` The message names',
    'the very thing; this page says what each code means.',
    '',
    ...Object.entries(faultGroups).flatMap(([title, group]) => [`## ${title}`, '', ...rowsOf(group), '']),
  ].join('\n');
}

function rowsOf(group: Readonly<Record<string, FaultNote>>): string[] {
  const rows = Object.entries(group).map(([code, { meaning, whatToDo }]) => [
    `\`${code}\``,
    meaning,
    whatToDo,
  ]);
  return tableLines(['code', 'means', 'what to do'], rows);
}
