/**
 * A program that the history's proof kills: `node history-committer.ts FILE FIRST [early]` commits numbered readings
 * from FIRST on, seals and lets go between, and writes the number after the last acknowledged one on a line. With
 * `early` it says so before the commit, which must be found.
 */
import { writeSync } from 'node:fs';
import { openHistory } from '../../daemon/history/history.ts';
import { openDatabase } from '../../daemon/sqlite/database.ts';
import { numberedItem, perCommit } from './history-numbers.ts';

const [path = '', first = '0', early] = process.argv.slice(2);
const history = openHistory(openDatabase({ path, mode: 'write' }));
let nextSeq = (history.last()?.inputSeq ?? 0) + 1;
writeSync(1, 'open\n');
for (let from = Number(first); ; from += perCommit) {
  if (early === 'early') writeSync(1, `${from + perCommit}\n`);
  const items = Array.from({ length: perCommit }, (_, index) => numberedItem(from + index));
  const verdicts = history.commitReadings(items, nextSeq);
  nextSeq += verdicts.filter(({ is }) => is === 'stored').length;
  if (early !== 'early') writeSync(1, `${from + perCommit}\n`);
  // Seals far sooner than a house would, so that kills fall into it.
  if (from % 2_500 === 0) history.sealAll();
  history.tend();
}
