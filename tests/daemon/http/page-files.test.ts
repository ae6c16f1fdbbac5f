import { symlink } from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { folderWith, houseInMemory, injected } from './house-in-memory.ts';

const page = {
  'index.html': '<!doctype html><title>Springhouse</title>',
  'assets/main-Ab3dEf9h.js': 'document.title',
  'mark.svg': '<svg/>',
  '.hidden': 'no',
  'assets/.also-hidden.js': 'no',
};

describe('serving the page', () => {
  test('gives the index at the root, to be asked for again', async () => {
    const app = await injected(houseInMemory().desk, { pageFolder: await folderWith(page) });
    const answer = await app.inject('/?from=home-screen');
    expect([answer.statusCode, answer.body]).toEqual([200, page['index.html']]);
    expect(answer.headers).toMatchObject({
      'content-type': 'text/html; charset=utf-8',
      'cache-control': 'no-cache',
    });
    const again = await app.inject({ url: '/', headers: { 'if-none-match': String(answer.headers.etag) } });
    expect([again.statusCode, again.body]).toEqual([304, '']);
  });

  test('gives files with hashed names for good', async () => {
    const app = await injected(houseInMemory().desk, { pageFolder: await folderWith(page) });
    const answer = await app.inject('/assets/main-Ab3dEf9h.js');
    expect(answer.headers).toMatchObject({
      'content-type': 'text/javascript; charset=utf-8',
      'cache-control': 'public, max-age=31536000, immutable',
      'x-content-type-options': 'nosniff',
    });
    expect((await app.inject('/mark.svg')).headers).toMatchObject({
      'content-type': 'image/svg+xml',
      'cache-control': 'no-cache',
    });
    expect((await app.inject({ method: 'HEAD', url: '/mark.svg' })).statusCode).toBe(200);
  });

  test('gives nothing beside the files of the folder', async () => {
    const folder = await folderWith(page);
    await symlink('/etc/hostname', join(folder, 'linked.txt'));
    const app = await injected(houseInMemory().desk, { pageFolder: folder });
    for (const url of [
      '/.hidden',
      '/assets/.also-hidden.js',
      '/linked.txt',
      '/../etc/hostname',
      '/%2e%2e/etc/hostname',
      '/assets',
      '/assets/',
    ]) {
      expect([url, (await app.inject(url)).json().code]).toEqual([url, 'HTTP_PATH']);
    }
  });

  test('says how to build the page where there is none', async () => {
    const app = await injected(houseInMemory().desk);
    expect((await app.inject('/')).json()).toEqual({
      v: 1,
      code: 'PAGE_MISSING',
      message: 'The page must be built before it is served, got a folder without one. Run npm run build.',
    });
  });
});
