import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, BrowserContext } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { askOwner } from '../../daemon/ask-owner.ts';
import type { Springhouse } from '../../daemon/compose.ts';
import { type OpenedView, type PairingView, shutDoor } from '../../shared/contract/door.ts';
import { makeTestFolder, openTestHouse, type TestFolder } from '../daemon/open-test-house.ts';
import { lacks } from '../machine/what-this-machine-lacks.ts';
import { buildPage } from './build-page.ts';
import { openBrowser } from './chromium.ts';
import { overflowPx, smallTargets, smallWords } from './measure-page.ts';

const phone = { width: 390, height: 844 };
const password = 'larch-kettle-moss';

describe.skipIf(lacks('chromium'))('a phone at the door of an opened house', () => {
  let built: string;
  let folder: TestFolder;
  let house: Springhouse;
  let browser: Browser;
  let page: string;

  beforeAll(async () => {
    built = await mkdtemp(join(tmpdir(), 'springhouse-page-'));
    folder = await makeTestFolder();
    [browser] = await Promise.all([openBrowser(), buildPage(built)]);
    house = await openTestHouse(folder.dataDir, { pageFolder: built });
    const opened = await owner<OpenedView>('/owner/open', {
      ...shutDoor,
      open: true,
      addresses: ['127.0.0.2'],
    });
    [page = ''] = opened.pages;
  });

  afterAll(async () => {
    await browser.close();
    await house.close();
    await folder.remove();
    await rm(built, { recursive: true, force: true });
  });

  async function owner<T>(path: string, body: object): Promise<T> {
    const answered = await askOwner(folder.dataDir, path, body);
    if (answered.is !== 'answer') throw new Error(JSON.stringify(answered));
    return answered.body as T;
  }

  async function openPhone(context: BrowserContext, url: string) {
    const opened = await context.newPage();
    await opened.setViewportSize(phone);
    await opened.goto(url);
    return opened;
  }

  it('comes in by a scanned code, signs out, signs in, lets another in, and is shown out from there', async () => {
    const context = await browser.newContext();
    const { url } = await owner<PairingView>('/owner/code', { person: null });
    const sorrel = await openPhone(context, url);
    await sorrel.getByRole('heading', { name: 'Come in with a pairing code' }).waitFor();
    const fits = async () => [
      await overflowPx(sorrel),
      await smallTargets(sorrel, 48),
      await smallWords(sorrel, 15.5),
    ];
    expect(await fits()).toEqual([0, [], []]);
    await sorrel.getByLabel('Your name').fill('Sorrel');
    await sorrel.getByLabel(/^A password/).fill('short');
    await sorrel.getByRole('button', { name: 'Come in' }).click();
    await expect
      .poll(() => sorrel.getByRole('alert').textContent())
      .toMatch(/must be from 10 to 128 characters long/);
    await sorrel.getByLabel(/^A password/).fill(password);
    await sorrel.getByRole('button', { name: 'Come in' }).click();
    await sorrel.getByRole('heading', { name: 'Larkfell' }).waitFor();
    expect(new URL(sorrel.url()).hash).toBe('');
    const [cookie] = await context.cookies();
    expect(cookie).toMatchObject({ name: 'springhouse', httpOnly: true, sameSite: 'Strict' });

    await sorrel.getByRole('button', { name: 'Sign out' }).click();
    await sorrel.getByRole('heading', { name: 'Sign in' }).waitFor();
    await sorrel.getByLabel('Your name').fill('sorrel');
    await sorrel.getByLabel('Password').fill(password);
    await sorrel.getByRole('button', { name: 'Sign in' }).click();
    await sorrel.getByRole('heading', { name: 'Larkfell' }).waitFor();

    await sorrel.getByRole('button', { name: 'Let somebody in' }).click();
    await sorrel.getByRole('img', { name: 'The pairing code, to scan' }).waitFor();
    expect(await fits()).toEqual([0, [], []]);
    const code = (await sorrel.locator('.pairing .code').textContent()) ?? '';
    const other = await browser.newContext();
    const teasel = await openPhone(other, page);
    await teasel.getByRole('button', { name: 'I have a pairing code' }).click();
    await teasel.getByLabel('Pairing code').fill(code.toLowerCase());
    await teasel.getByLabel('Your name').fill('Teasel');
    await teasel.getByLabel(/^A password/).fill(password);
    await teasel.getByRole('button', { name: 'Come in' }).click();
    await teasel.getByRole('button', { name: 'Remove Sorrel' }).click();
    await teasel.getByRole('button', { name: 'Remove Sorrel now' }).click();
    await sorrel.getByRole('heading', { name: 'Sign in' }).waitFor({ timeout: 15_000 });
    await Promise.all([context.close(), other.close()]);
  });

  it('finds what a phone needs to install the page, without signing in', async () => {
    const manifest = (await (await fetch(`${page}/springhouse.webmanifest`)).json()) as {
      display: string;
      icons: { src: string; sizes: string; type: string }[];
    };
    expect(manifest.display).toBe('standalone');
    for (const { src, sizes, type } of manifest.icons) {
      const answer = await fetch(new URL(src, `${page}/`));
      expect([answer.status, answer.headers.get('content-type')]).toEqual([200, type]);
      const bytes = Buffer.from(await answer.arrayBuffer());
      // PNG (RFC 2083 §11.2.1): width and height stand at bytes 16 and 20.
      if (type === 'image/png') expect(`${bytes.readUInt32BE(16)}x${bytes.readUInt32BE(20)}`).toBe(sizes);
    }
  });
});
