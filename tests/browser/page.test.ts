import { mkdtemp, readdir, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { lacks } from '../machine/what-this-machine-lacks.ts';
import { buildPage } from './build-page.ts';
import { openBrowser } from './chromium.ts';
import { type FixtureHouse, openFixtureHouse } from './fixture-house.ts';
import { answersOf, morningMs, type StateName } from './fixture-states.ts';
import { firstWatchEndPx, longLines, overflowPx, smallTargets, smallWords } from './measure-page.ts';

const phone = { width: 390, height: 844 };
const tablet = { width: 701, height: 900 };
const wide = { width: 1280, height: 800 };

describe.skipIf(lacks('chromium'))('the page in a browser', () => {
  let built: string;
  let browser: Browser;
  let house: FixtureHouse;
  let page: Page;
  let complaints: string[];

  beforeAll(async () => {
    built = await mkdtemp(join(tmpdir(), 'springhouse-page-'));
    [browser] = await Promise.all([openBrowser(), buildPage(built)]);
    page = await browser.newPage();
    page.on('console', (message) => complaints.push(message.text()));
    page.on('pageerror', (error) => complaints.push(String(error)));
  });

  afterAll(async () => {
    await browser.close();
    await rm(built, { recursive: true, force: true });
  });

  beforeEach(async () => {
    house = await openFixtureHouse({ page: built, state: 'doomed' });
    complaints = [];
    await page.setViewportSize(wide);
  });

  afterEach(async () => {
    await page.goto('about:blank');
    await house.close();
  });

  async function open(state: StateName): Promise<void> {
    house.show(state);
    await page.goto(house.address);
    await page.locator('.picture.full canvas').waitFor();
  }

  function watchIn(state: StateName) {
    const [view] = answersOf(state).chills;
    if (view === undefined) throw new Error(`the state ${state} must have a watch`);
    return view;
  }

  it.each(['silent', 'made', 'missed', 'empty', 'left', 'too-cold', 'by-air', 'mixed'] as const)(
    'fits a phone, a tablet and a wide window while %s, in legible type',
    async (state) => {
      await open(state);
      for (const viewport of [phone, tablet, wide]) {
        await page.setViewportSize(viewport);
        const measures = async () => ({
          overflow: await overflowPx(page),
          targets: await smallTargets(page, 48),
          words: await smallWords(page, 15.5),
          lines: await longLines(page, 2),
        });
        await expect.poll(measures).toEqual({ overflow: 0, targets: [], words: [], lines: [] });
      }
      expect(complaints).toEqual([]);
    },
  );

  it('keeps the choices of a watch within a phone and large enough for a wet knuckle', async () => {
    await open('several');
    await page.setViewportSize(phone);
    for (const name of ['Milking ended at another time', 'End this watch']) {
      await page.getByRole('button', { name }).click();
      expect([await overflowPx(page), await smallTargets(page, 48)]).toEqual([0, []]);
    }
  });

  it.each(['doomed', 'good', 'early', 'missed', 'keeping', 'leaving'] as const)(
    'shows the whole first watch in a window 800 px high while %s',
    async (state) => {
      await open(state);
      // The letters may come after the lines were first broken.
      await expect.poll(() => firstWatchEndPx(page)).toBeLessThanOrEqual(800);
    },
  );

  it('shows sentence, number and picture, with a sentence in the picture’s place', async () => {
    await open('doomed');
    expect(await page.locator('.statement > *').allTextContents()).toEqual([
      'Not on course',
      'Into stirred ice by 7:12,',
      'or it comes under 40\u00a0°F 50\u00a0minutes late.',
    ]);
    expect(await page.locator('.number.hero').textContent()).toMatch(/^82\.0\s*°F$/);
    expect(await page.getByRole('img').first().getAttribute('aria-label')).toMatch(
      /^Jar 2: from .* by 7:42\.$/,
    );
    expect(await page.locator('.plate').count()).toBe(1);
    expect(await page.locator('.facts .ice').textContent()).toMatch(/^0\.7 kg of ice, stirred\s*35°\s*7:29/);
    expect(await page.locator('.cautions').textContent()).toContain('warm glass in ice can crack');
    expect(await page.getByText('Simulated: an invented house').count()).toBe(1);
  });

  it('draws its charts at the true pixels of a dense screen, in its own letters', async () => {
    const dense = await browser.newPage({ viewport: phone, deviceScaleFactor: 3 });
    await dense.goto(house.address);
    const canvas = dense.locator('.picture.full canvas');
    await canvas.waitFor();
    const box = await canvas.boundingBox();
    expect([await canvas.getAttribute('width'), await canvas.getAttribute('height')]).toEqual([
      String((box?.width ?? 0) * 3),
      String(340 * 3),
    ]);
    expect(await dense.evaluate('document.fonts.check(\'italic 600 20px "Fira Sans Condensed"\')')).toBe(
      true,
    );
    await dense.close();
  });

  it('turns its sentence when the feed says that the watch has turned', async () => {
    await open('good');
    expect(await page.locator('.statement .state').textContent()).toBe('On course');
    await house.send({ kind: 'watch', value: watchIn('doomed') });
    await page.getByText('Not on course').waitFor({ timeout: 3000 });
    expect(await page.locator('.statement .say').textContent()).toBe('Into stirred ice by 7:12,');
  });

  it('says to the house that the jar is in the ice', async () => {
    await open('doomed');
    await page.getByRole('button', { name: 'It’s in the ice' }).click();
    await expect
      .poll(() => house.words.map(({ word }) => word))
      .toEqual([{ kind: 'rescue-done', probe: 'jar-2', rescue: 'ice-bath-stirred' }]);
  });

  it('lists the other ways out with what they want, and says which of them was taken', async () => {
    await open('doomed');
    const rows = page.locator('.other-ways tbody tr');
    expect(await rows.count()).toBe(2);
    expect(await rows.first().locator('th').textContent()).toMatch(
      /^In cold water, then stirred ice10.minutes in/,
    );
    expect(await rows.last().locator('.under').textContent()).toMatch(/would not make it$/);
    await page.getByRole('button', { name: 'It’s in smaller jars' }).click();
    await expect
      .poll(() => house.words.map(({ word }) => word))
      .toEqual([{ kind: 'rescue-done', probe: 'jar-2', rescue: 'split', vessels: 3 }]);
  });

  it('says so where it is cold water that the jar went into', async () => {
    house.show('doomed');
    const view = watchIn('doomed');
    const [ice] = view.forecast?.rescues ?? [];
    if (view.forecast === null || ice === undefined) throw new Error('the watch must have a way out');
    await page.goto(house.address);
    await page.getByRole('button', { name: 'It’s in the ice' }).waitFor();
    const rescues = [{ ...ice, kind: 'cold-water' as const, iceKg: null }];
    await house.send({ kind: 'watch', value: { ...view, forecast: { ...view.forecast, rescues } } });
    await page.getByRole('button', { name: 'It’s in the water' }).click({ timeout: 3000 });
    await expect
      .poll(() => house.words.map(({ word }) => word))
      .toEqual([{ kind: 'rescue-done', probe: 'jar-2', rescue: 'cold-water' }]);
  });

  it('folds the plate away where a person leaves the jar, until the state changes', async () => {
    await open('doomed');
    await page.getByRole('button', { name: 'Leave it in the chest freezer' }).click();
    expect(await page.locator('.statement > *').allTextContents()).toEqual([
      'Not on course',
      'Under 40\u00a0°F near 8:32,',
      '50\u00a0minutes late.',
    ]);
    expect([await page.locator('.plate').count(), await page.locator('.ice').count()]).toEqual([0, 0]);
    await page.getByRole('button', { name: 'Show the way out again' }).click();
    expect(await page.locator('.plate').count()).toBe(1);
    await page.getByRole('button', { name: 'Leave it in the chest freezer' }).click();
    await house.send({ kind: 'watch', value: watchIn('missed') });
    await page.getByText('Too late').waitFor({ timeout: 3000 });
    expect(await page.locator('.plate').count()).toBe(1);
    expect(house.words).toEqual([]);
  });

  it('never has two plates, and opens a further watch in its row', async () => {
    await open('mixed');
    await page.setViewportSize(phone);
    for (const name of ['Jar 3', 'Larder fridge']) {
      await page.getByRole('button', { name }).click();
      expect([await overflowPx(page), await smallTargets(page, 48)]).toEqual([0, []]);
    }
    expect(await page.locator('.opened .picture.full').count()).toBe(2);
    expect(await page.locator('.plate').count()).toBe(1);
  });

  it('says of a cold place what it does, what it was, and what a power cut would do', async () => {
    await open('keeping');
    expect(await page.locator('.statement > *').allTextContents()).toEqual([
      'Keeping',
      'No hand wanted.',
      'The power was off 2:10 to 3:25; the milk stayed under 40\u00a0°F.',
    ]);
    expect(await page.locator('.plate').count()).toBe(0);
    expect(await page.locator('.facts.keep tbody tr').allTextContents()).toEqual([
      expect.stringMatching(/^the milk37\.\d°38\.\d°not seen$/),
      expect.stringMatching(/^the air\d+\.\d°\d+\.?\d*°\d+ min$/),
    ]);
    expect(await page.locator('.power').textContent()).toMatch(
      /If the power went now, the milk would reach 40\s°F near \d+:\d\d, \d+:\d\d–\d+:\d\d, with the door kept shut\.$/,
    );
    expect(await page.getByRole('img').first().getAttribute('aria-label')).toMatch(
      /^Larder water jar: the milk at/,
    );
  });

  it('puts a cold place that loses its cold on the plate', async () => {
    await open('leaving');
    expect(await page.locator('.plate > *').allTextContents()).toEqual([
      'Leaving',
      'Look at the larder fridge,',
      expect.stringMatching(/^it has not cooled since 6:24; the milk passes 40\s°F near \d+:\d\d\.$/),
    ]);
  });

  it('shows a new reading at once', async () => {
    await open('doomed');
    const view = watchIn('doomed');
    await house.send({
      kind: 'watch',
      value: { ...view, latest: { atMs: morningMs + 5000, tempC: 27 } },
    });
    await page.locator('.number.hero', { hasText: '80.6' }).waitFor({ timeout: 3000 });
  });

  it('puts a silent probe on the one plate and hollows its digits', async () => {
    await open('silent');
    expect(await page.locator('.plate').count()).toBe(1);
    expect(await page.locator('.number.hero.hollow').count()).toBe(1);
    // The plate asks for a look at the probe: no way out stands beside it.
    expect(await page.getByRole('button', { name: 'It’s in the ice' }).count()).toBe(0);
    expect(await page.getByText('latest for ice').count()).toBe(0);
    expect(await page.locator('.figures-side .rate').textContent()).toBe('last heard 6:58');
  });

  it('says a word once, with an id of its own, as JSON', async () => {
    await open('empty');
    await page.getByRole('button', { name: 'Start a watch by hand' }).click();
    await page.getByRole('button', { name: /^Jar 2,/ }).click();
    await page.getByRole('button', { name: 'just now' }).click();
    await expect.poll(() => house.words.length).toBe(1);
    expect(house.words).toEqual([
      {
        v: 1,
        id: expect.stringMatching(/^[0-9a-f]{32}$/),
        word: { kind: 'chill-begin', probe: 'jar-2' },
      },
    ]);
  });

  it('begins a watch by hand from when the milk went in, with what is not known of it', async () => {
    await open('empty');
    await page.setViewportSize(phone);
    await page.getByRole('button', { name: 'Start a watch by hand' }).click();
    await page.getByRole('button', { name: /^Jar 2,/ }).click();
    await page.getByRole('button', { name: 'Chest freezer' }).click();
    expect([await overflowPx(page), await smallTargets(page, 48)]).toEqual([0, []]);
    await page.getByRole('button', { name: 'at 6:54' }).click();
    await expect
      .poll(() => house.words.map(({ word }) => word))
      .toEqual([
        { kind: 'chill-begin', probe: 'jar-2', sinceMs: morningMs - 600_000, place: 'chest-freezer' },
      ]);
  });

  it('plans the next milk: the house’s vessels first, minutes with their spread, and from what', async () => {
    await open('empty');
    await page.getByRole('button', { name: 'Plan the next milk' }).click();
    await page.locator('.plan').waitFor();
    expect(await page.locator('.before-milking .chosen').count()).toBe(1);
    const first = page.locator('.plan tr').first();
    expect(await first.locator('small').allTextContents()).toEqual([
      'from 6 chills here',
      'would make it, about 9 of 10',
    ]);
    expect(await first.locator('td > i').textContent()).toBe('near 45 min (36 to 59)');
    for (const viewport of [phone, wide]) {
      await page.setViewportSize(viewport);
      expect([await overflowPx(page), await smallTargets(page, 48)]).toEqual([0, []]);
      expect(await smallWords(page, 15.5)).toEqual([]);
    }
    expect(complaints).toEqual([]);
  });

  it('repeats a word that was not taken under the same id', async () => {
    await open('doomed');
    house.refuse(1);
    await page.getByRole('button', { name: 'End this watch' }).click();
    const yes = page.getByRole('button', { name: 'Yes, end it' });
    await yes.click();
    await page.getByText('Not taken: The house is full. Press again.').waitFor({ timeout: 3000 });
    await yes.click();
    await expect.poll(() => house.words.length).toBe(2);
    expect(new Set(house.words.map((word) => word.id)).size).toBe(1);
  });

  it.each(['silent', 'doomed', 'leaving', 'keeping'] as const)(
    'fills a screen across the kitchen with one watch and nothing to press while %s',
    async (state) => {
      house.show(state);
      await page.goto(`${house.address}?far`);
      await page.locator('.strip').waitFor();
      const height = () => page.evaluate('document.documentElement.scrollHeight');
      await expect.poll(height).toBe(wide.height);
      expect(await overflowPx(page)).toBe(0);
      expect(await page.locator('button').count()).toBe(0);
      expect(await page.getByText('Simulated: an invented house').count()).toBe(1);
    },
  );

  it('takes the theme of its address against the system’s', async () => {
    await page.emulateMedia({ colorScheme: 'light' });
    await page.goto(`${house.address}?theme=dark`);
    await page.locator('.picture canvas').first().waitFor();
    expect(await page.evaluate('getComputedStyle(document.body).backgroundColor')).toBe('rgb(13, 21, 38)');
  });

  it('prints in ink on white, whatever the screen’s colours, with nothing to press', async () => {
    await page.emulateMedia({ colorScheme: 'dark' });
    await open('mixed');
    await page.emulateMedia({ colorScheme: 'dark', media: 'print' });
    const colours = await page.evaluate(
      "['color', 'background-color'].flatMap((name) => ['.statement', '.facts .ice'].map((at) => getComputedStyle(document.querySelector(at)).getPropertyValue(name)))",
    );
    expect(colours).toEqual(['rgb(0, 0, 0)', 'rgb(0, 0, 0)', 'rgb(255, 255, 255)', 'rgba(0, 0, 0, 0)']);
    expect(await page.locator('button:not(.opener):visible').count()).toBe(0);
    await page.emulateMedia({ colorScheme: 'light', media: 'screen' });
  });

  it('is small enough for a farm’s line', async () => {
    const files = await readdir(join(built, 'assets'));
    const sizes = files
      .filter((name) => name.endsWith('.js'))
      .map(async (name) => gzipSync(await readFile(join(built, 'assets', name))).length);
    const total = (await Promise.all(sizes)).reduce((sum, size) => sum + size, 0);
    expect(total).toBeLessThan(150_000);
  });

  it('lets no figure look live once the house is not heard, and finds it again', async () => {
    // An installed clock stays with its page.
    page = await browser.newPage({ viewport: wide });
    await page.clock.install();
    await open('several');
    expect(await page.locator('.hollow').count()).toBe(0);
    house.die();
    await page.clock.runFor(18_000);
    await page.getByText('No word from the house').waitFor({ timeout: 3000 });
    const digits = await page.locator('.number, td.digits').count();
    expect(await page.locator('.hollow').count()).toBe(digits);
    // Opening a row says nothing to the house.
    expect(await page.locator('button:not(.opener)').count()).toBe(0);
    house.wake();
    await expect
      .poll(
        async () => {
          await page.clock.runFor(2000);
          return page.locator('.hollow').count();
        },
        { timeout: 6000 },
      )
      .toBe(0);
  });
});
