import { readFile } from 'node:fs/promises';
import { expect, it } from 'vitest';
import { release } from '../../daemon/release.ts';

it('names the release as package.json does', async () => {
  const { version } = JSON.parse(await readFile('package.json', 'utf8')) as { version: string };
  expect(release).toBe(version);
});
