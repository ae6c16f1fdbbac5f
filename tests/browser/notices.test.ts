import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { Springhouse } from '../../daemon/compose.ts';
import { openNotifyHouse, sendDoomedJar } from '../daemon/notify/notify-house.ts';
import { makeTestFolder, type TestFolder, until } from '../daemon/open-test-house.ts';
import { openWebhookReceiver, type WebhookReceiver } from '../machine/webhook-receiver.ts';
import { lacks } from '../machine/what-this-machine-lacks.ts';
import { buildPage } from './build-page.ts';
import { openBrowser } from './chromium.ts';
import { overflowPx, smallTargets, smallWords } from './measure-page.ts';

const secret = 'twenty-four bytes and more';

describe.skipIf(lacks('chromium'))('a house that speaks up, in a browser on a phone', () => {
  let built: string;
  let browser: Browser;
  let page: Page;
  let folder: TestFolder;
  let receiver: WebhookReceiver;
  let house: Springhouse;
  let complaints: string[];

  beforeAll(async () => {
    built = await mkdtemp(join(tmpdir(), 'springhouse-page-'));
    [browser] = await Promise.all([openBrowser(), buildPage(built)]);
  });

  afterAll(async () => {
    await browser.close();
    await rm(built, { recursive: true, force: true });
  });

  beforeEach(async () => {
    folder = await makeTestFolder();
    receiver = await openWebhookReceiver(secret);
    process.env.SPRINGHOUSE_TEST_HOOK = secret;
    const lines = `ways:\n  - { id: hook, kind: webhook, url: "${receiver.url}", secretEnv: SPRINGHOUSE_TEST_HOOK }\n`;
    house = await openNotifyHouse(folder.dataDir, lines, { pageFolder: built });
    page = await browser.newPage({ viewport: { width: 390, height: 844 } });
    complaints = [];
    page.on('console', (message) => complaints.push(message.text()));
    page.on('pageerror', (error) => complaints.push(String(error)));
    await page.goto(house.url);
    await page.getByText('This page is silent until you let it sound.').waitFor();
  });

  afterEach(async () => {
    await page.close();
    await house.close();
    await receiver.close();
    await folder.remove();
  });

  const letters = async () =>
    (await (await fetch(`${house.url}/api/letters`)).json()) as {
      letters: { way: string; state: string; fault: string | null; why: string }[];
    };
  const pageLetter = () =>
    until(letters, (answer) =>
      answer.letters.some(({ way, state }) => way === 'page' && state !== 'waiting'),
    );

  it('sounds for a warning after one tap, tells the house so, and takes "seen"', async () => {
    await page.getByRole('button', { name: 'Let it sound' }).click();
    await expect.poll(() => page.getByText('This page is silent').count()).toBe(0);
    await sendDoomedJar(house);
    const seen = page.getByRole('button', { name: 'Seen' });
    await seen.waitFor();
    // Two ways for a warning: the page has surely sounded, the webhook has the same letter.
    const { letters: lines } = await pageLetter();
    expect(lines.find(({ way }) => way === 'page')).toMatchObject({
      state: 'sent',
      why: 'first',
      fault: null,
    });
    await until(
      async () => receiver.calls.length,
      (count) => count > 0,
    );
    // The plate says it, and stands first: under it what can be done about the notice.
    const plate = page.locator('.first-watch');
    expect(await plate.textContent()).toMatch(/ice/);
    expect(await page.locator('.speaks li p').count()).toBe(0);
    const [above, below] = [await plate.boundingBox(), await page.locator('.speaks').boundingBox()];
    expect((above?.y ?? 0) + (above?.height ?? 0)).toBeLessThanOrEqual(below?.y ?? 0);
    expect([await overflowPx(page), await smallTargets(page, 48), await smallWords(page, 15.5)]).toEqual([
      0,
      [],
      [],
    ]);
    await seen.click();
    await expect.poll(() => page.locator('.speaks li').count()).toBe(0);
    const { matters } = (await (await fetch(`${house.url}/api/matters`)).json()) as {
      matters: { seen: { by: string } | null }[];
    };
    expect(matters.map(({ seen: by }) => by?.by)).toEqual(['house']);
    expect(complaints).toEqual([]);
  });

  it('says that it is silent, and lets another way bring the warning', async () => {
    await sendDoomedJar(house);
    await page.getByRole('button', { name: 'Seen' }).waitFor();
    const { letters: lines } = await pageLetter();
    expect(lines.find(({ way }) => way === 'page')).toMatchObject({
      state: 'refused',
      fault: 'no open page has its sound on',
    });
    await until(
      async () => receiver.calls.length,
      (count) => count === 1,
    );
    expect(await page.getByText('This page is silent until you let it sound.').count()).toBe(1);
  });

  it('offers the last moment of the best rescue as the reminder', async () => {
    // The jar's own last moment is a matter of its forecast; here it is set to a known one.
    const remindAtMs = Math.ceil(Date.now() / 60_000) * 60_000 + 7 * 60_000;
    await page.route('**/api/matters', async (route) => {
      const answer = (await (await route.fetch()).json()) as { matters: object[] };
      const matters = answer.matters.map((matter) => ({ ...matter, remindAtMs }));
      await route.fulfill({ json: { ...answer, matters } });
    });
    await sendDoomedJar(house);
    const clock = new Intl.DateTimeFormat('en-GB', { timeStyle: 'short', timeZone: 'America/Denver' });
    const time = clock.format(remindAtMs).replace(/^0/, '');
    const posted = page.waitForRequest('**/api/words');
    await page.getByRole('button', { name: `Remind me at ${time}` }).click();
    expect((await posted).postDataJSON()).toMatchObject({
      word: { kind: 'notice-snoozed', untilMs: remindAtMs },
    });
    await expect.poll(() => page.locator('.speaks li').count()).toBe(0);
  });

  it('says that nobody is told until a way has proved itself, and tests it', async () => {
    await page.getByText('With this page shut, nobody is told').waitFor();
    receiver.answer(500);
    await page.getByRole('button', { name: 'Test hook' }).click();
    await page.getByText('It did not arrive: answered 500.').waitFor();
    receiver.answer(204);
    await page.getByRole('button', { name: 'Test hook' }).click();
    await page.getByText('It arrived.').waitFor();
    await page.getByText(/Last proved at \d+:\d\d\./).waitFor();
    expect(await page.getByText('With this page shut, nobody is told').count()).toBe(0);
    expect(receiver.calls.at(-1)?.event.data).toMatchObject({
      why: 'test',
      text: 'A test: if you read this, letters arrive by this way.',
    });
    await page.getByRole('button', { name: 'What was sent' }).click();
    await page.getByText('Nothing was sent yet.').waitFor();
    expect([await overflowPx(page), await smallTargets(page, 48)]).toEqual([0, []]);
  });
});
