import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { Springhouse } from '../../daemon/compose.ts';
import { openWriter } from '../../daemon/writer.ts';
import { makeTestFolder, openTestHouse, type TestFolder } from '../daemon/open-test-house.ts';
import { lacks } from '../machine/what-this-machine-lacks.ts';
import { buildPage } from './build-page.ts';
import { openBrowser } from './chromium.ts';
import { overflowPx, smallTargets, smallWords } from './measure-page.ts';

const phone = { width: 390, height: 844 };
const tablet = { width: 701, height: 900 };
const wide = { width: 1280, height: 900 };
const hourMs = 3_600_000;
const minuteMs = 60_000;

/** Two days each 20 s, an hour of silence, and ten minutes in it that came late; a notice in the middle. */
async function fill(dataDir: string, nowMs: number): Promise<void> {
  const writer = await openWriter({ dataDir });
  const reading = (atMs: number) => ({
    probe: 'jar',
    tempC: Math.round((4 + 2 * Math.sin(atMs / hourMs)) * 16) / 16,
    flags: 0,
    receivedMs: nowMs,
    stamp: { atMs },
  });
  const isSilent = (agoMs: number) => agoMs > 5 * hourMs && agoMs < 6 * hourMs;
  const agos = Array.from({ length: (48 * hourMs) / 20_000 }, (_, index) => (index + 1) * 20_000).reverse();
  await writer.beginImport();
  await writer.commitReadings(
    agos.filter((agoMs) => !isSilent(agoMs)).map((agoMs) => reading(nowMs - agoMs)),
  );
  const late = agos.filter((agoMs) => agoMs > 5.4 * hourMs && agoMs < 5.4 * hourMs + 10 * minuteMs);
  await writer.commitReadings(late.map((agoMs) => reading(nowMs - agoMs)));
  await writer.endImport();
  await writer.appendOutcome({
    happenings: [
      {
        kind: 'probe-silent',
        id: 'test/probe-silent/1',
        atMs: nowMs - 5.8 * hourMs,
        by: { kind: 'daemon', id: 'house' },
        about: { probe: ['jar'] },
        because: [],
        body: {
          weight: 'warn',
          watch: null,
          probe: 'jar',
          lastHeardMs: nowMs - 6 * hourMs,
          lastC: 5,
          usualMs: 20_000,
        },
      },
    ],
    snapshots: [],
  });
  await writer.close();
}

describe.skipIf(lacks('chromium'))('the history in a browser', () => {
  let built: string;
  let folder: TestFolder;
  let house: Springhouse;
  let browser: Browser;
  let page: Page;
  let complaints: string[];

  beforeAll(async () => {
    [built, folder] = await Promise.all([mkdtemp(join(tmpdir(), 'springhouse-page-')), makeTestFolder()]);
    [browser] = await Promise.all([openBrowser(), buildPage(built), fill(folder.dataDir, Date.now())]);
    house = await openTestHouse(folder.dataDir, { pageFolder: built });
    page = await browser.newPage();
    page.on('console', (message) => complaints.push(message.text()));
    page.on('pageerror', (error) => complaints.push(String(error)));
  }, 60_000);

  afterAll(async () => {
    await browser.close();
    await house.close();
    await Promise.all([rm(built, { recursive: true, force: true }), folder.remove()]);
  });

  beforeEach(async () => {
    complaints = [];
    await page.setViewportSize(wide);
    await page.goto('about:blank');
    await page.goto(`${house.url}/#history?probe=jar&span=${12 * hourMs}`);
    await page.locator('.history-picture canvas').waitFor();
    await expect.poll(() => said()).toMatch(/^From .*\s°F\./);
  });

  const said = () => page.locator('.past .say').textContent();
  const label = async () => (await page.locator('.history-picture .canvas').getAttribute('aria-label')) ?? '';
  const spanMs = async () => Number(new URLSearchParams(new URL(page.url()).hash.split('?')[1]).get('span'));

  it('fits a phone, a tablet and a wide window, in legible type and large targets', async () => {
    for (const viewport of [phone, tablet, wide]) {
      await page.setViewportSize(viewport);
      const measures = async () => ({
        overflow: await overflowPx(page),
        targets: await smallTargets(page, 48),
        words: await smallWords(page, 15.5),
      });
      await expect.poll(measures).toEqual({ overflow: 0, targets: [], words: [] });
    }
    expect(complaints).toEqual([]);
  });

  it('says in the place of the picture what a span came to, with its silence and what was said', async () => {
    expect(await label()).toMatch(
      /^Bramble, .* From 35\.6\s°F to 42\.8\s°F\. Mean .* Not heard for (?:4[89]|5[0-3]) minutes, in 2 pieces\.$/,
    );
    await expect.poll(() => page.locator('.said-then li').count()).toBe(1);
    await expect.poll(() => page.locator('.kept').first().textContent()).toMatch(/of them late\s*(?:29|30)/);
    await expect.poll(() => page.locator('.kept').first().textContent()).toMatch(/In this span\s*2,0\d\d/);
  });

  it('comes closer and goes wider by wheel, keys and buttons, and keeps the place in its address', async () => {
    const picture = page.locator('.history-picture .canvas');
    const box = await picture.boundingBox();
    if (box === null) throw new Error('the picture must stand on the page');
    await page.mouse.move(box.x + box.width / 2, box.y + 100);
    await page.mouse.wheel(0, -600);
    await expect.poll(spanMs).toBeLessThan(6 * hourMs);
    await picture.focus();
    await page.keyboard.press('-');
    await page.keyboard.press('-');
    await expect.poll(spanMs).toBeGreaterThan(6 * hourMs);
    await page.getByRole('button', { name: 'Week' }).click();
    await expect.poll(spanMs).toBe(7 * 24 * hourMs);
    await page.reload();
    await page.locator('.history-picture canvas').waitFor();
    expect(await page.getByRole('button', { name: 'Week' }).getAttribute('aria-pressed')).toBe('true');
  });

  it('is dragged to earlier, and shows what stood where it is pointed at', async () => {
    const box = await page.locator('.history-picture .canvas').boundingBox();
    if (box === null) throw new Error('the picture must stand on the page');
    const before = await label();
    await page.mouse.move(box.x + 300, box.y + 150);
    await page.mouse.down();
    await page.mouse.move(box.x + 600, box.y + 150, { steps: 5 });
    await page.mouse.up();
    await expect.poll(label).not.toBe(before);
    await expect.poll(() => new URL(page.url()).hash).toContain('to=');
    await expect.poll(said).toMatch(/^From/);
  });

  it('lays another span beside it, and takes out what is shown', async () => {
    await page.locator('.lay-beside select').first().selectOption('jar');
    await expect.poll(() => new URL(page.url()).hash).toContain('beside=jar&earlier=86400000');
    const download = page.waitForEvent('download');
    await page.getByRole('link', { name: 'CSV, every reading' }).click();
    const file = await (await download).path();
    const lines = (await readFile(file, 'utf8')).trim().split('\r\n');
    expect(lines[0]).toBe('at,probe,celsius,flags');
    expect(lines.length).toBeGreaterThan(1_900);
    expect(lines.filter((line) => line.endsWith('late')).length).toBeGreaterThan(20);
  });

  it('is reached from the day and leads back to it, by the names of the pages', async () => {
    await page.getByRole('link', { name: 'Today' }).click();
    await page.locator('.picture.full canvas').waitFor();
    await page.getByRole('link', { name: 'History' }).click();
    await page.locator('.history-picture canvas').waitFor();
    expect(complaints).toEqual([]);
  });
});
