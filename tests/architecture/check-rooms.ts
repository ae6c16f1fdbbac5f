/** Run by `npm run lint`: holds the tree against the rules of its rooms and fails with every broken one. */
import { execFileSync } from 'node:child_process';
import { checkRooms, readTree, ruledFolders, unknownRooms } from './room-rules.ts';

const files = readTree('.', ruledFolders);
const listed = execFileSync('git', ['ls-files', '--', ...ruledFolders], { encoding: 'utf8' })
  .split('\n')
  .filter((path) => /\.tsx?$/.test(path));
const faults = checkRooms(files).map(
  ({ path, rule, got, doThis }) => `${path}: ${rule}, got ${got}. ${doThis}`,
);
for (const room of unknownRooms(files))
  faults.push(`daemon/${room}: is no room that the rules know. Name it there.`);
if (files.length < listed.length) {
  faults.push(`the checker read ${files.length} files of ${listed.length}: it must read all of them.`);
}
for (const fault of faults) process.stderr.write(`${fault}\n`);
process.stdout.write(`rooms: ${files.length} files read, ${faults.length} faults\n`);
process.exitCode = faults.length > 0 ? 1 : 0;
