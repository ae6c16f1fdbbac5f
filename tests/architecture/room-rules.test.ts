import { execFileSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { checkRooms, readTree, ruledFolders, unknownRooms } from './room-rules.ts';

const got = (path: string, text: string) => checkRooms([{ path, text }]).map((fault) => fault.got);

describe('the rules of the rooms', () => {
  it('hold in the tree as it is', () => {
    expect(checkRooms(readTree('.', ruledFolders))).toEqual([]);
    expect(unknownRooms(readTree('.', ruledFolders))).toEqual([]);
  });

  it('read as many files as git knows, so that an unreadable tree cannot pass', () => {
    const listed = execFileSync('git', ['ls-files', '--', ...ruledFolders], { encoding: 'utf8' });
    const known = listed.split('\n').filter((path) => /\.tsx?$/.test(path));
    const read = new Set(readTree('.', ruledFolders).map(({ path }) => path));
    expect(known.filter((path) => !read.has(path))).toEqual([]);
    expect(known.length).toBeGreaterThan(50);
  });

  it.each([
    ['shared/units/parse.ts', "import { x } from '../../probes/source.ts';", '../../probes/source.ts'],
    [
      'probes/serial/line.ts',
      "import type { x } from '../../daemon/intake/queue.ts';",
      '../../daemon/intake/queue.ts',
    ],
    ['dashboard/src/store.ts', "import { x } from '../../daemon/http/desk.ts';", '../../daemon/http/desk.ts'],
    ['daemon/watch/lane.ts', "import { x } from '../intake/queue.ts';", '../intake/queue.ts'],
    ['daemon/forecast/pool.ts', "import { x } from '../watch/lane.ts';", '../watch/lane.ts'],
    ['daemon/http/server.ts', "import type { x } from '../record/record.ts';", '../record/record.ts'],
    ['daemon/http/server.ts', "import { x } from '../compose.ts';", '../compose.ts'],
    ['daemon/http/server.ts', "export { x } from '../record/record.ts';", '../record/record.ts'],
    ['daemon/http/server.ts', "const x = await import('../record/record.ts');", 'import:../record/record.ts'],
    ['daemon/compose.ts', 'const x = await import(name);', 'import:(computed)'],
    ['daemon/watch/lane.ts', "import { readFileSync } from 'node:fs';", 'node:fs'],
    ['shared/dairy/milk.ts', "import { clamp } from 'lodash';", 'lodash'],
    ['daemon/forecast/pool.ts', 'export const at = Date.now();', 'Date'],
    ['daemon/watch/lane.ts', 'export const draw = Math.random();', 'Math.random'],
    ['shared/units/format.ts', 'setTimeout(() => {}, 1);', 'setTimeout'],
    ['shared/units/format.ts', 'export const home = process.env.HOME;', 'process'],
  ])('find the fault planted in %s: %s', (path, text, found) => {
    expect(got(path, text)).toEqual([found]);
  });

  it.each([
    ['shared/contract/word.ts', "import { z } from 'zod';"],
    ['daemon/watch/lane.ts', "import { x } from '../forecast/chill-trace.ts';"],
    ['daemon/record/record.ts', "import { x } from '../sqlite/database.ts';"],
    ['daemon/compose.ts', "import { x } from './record/record.ts';"],
    ['daemon/intake/queue.ts', "import type { x } from '../../probes/source.ts';"],
    [
      'dashboard/src/page.tsx',
      "import { x } from '../../shared/units/format.ts'; export const page = <p>{x}</p>;",
    ],
  ])('let pass in %s: %s', (path, text) => {
    expect(got(path, text)).toEqual([]);
  });

  it('tell of a room that they do not know', () => {
    expect(unknownRooms([{ path: 'daemon/attic/box.ts', text: '' }])).toEqual(['attic']);
  });

  it('tell of a file that cannot be read', () => {
    expect(checkRooms([{ path: 'shared/x.ts', text: 'export const = ;' }])).not.toEqual([]);
  });
});
