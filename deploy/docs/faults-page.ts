/** The page of error codes. */

import { faults } from '../../shared/contract/faults.ts';
import { tableLines } from './table.ts';

/** `faults.md`: every code of the catalogue in its order, one row each. */
export function faultsPage(): string {
  const rows = Object.entries(faults).map(([code, { meaning, whatToDo }]) => [
    `\`${code}\``,
    meaning,
    whatToDo,
  ]);
  return [
    '# Error codes',
    '',
    '<!-- Made by npm run docs from shared/contract/faults.ts; changes here are overwritten. -->',
    '',
    'Whatever goes wrong is told as `CODE: <thing> must be <rule>, got <value>. <What to do>.` The message names',
    'the very thing; this page says what each code means.',
    '',
    ...tableLines(['code', 'means', 'what to do'], rows),
    '',
  ].join('\n');
}
