/**
 * Photographs the page: every state of the stand-in house, or a running one.
 *
 *   node tests/browser/shoot.ts [--out DIR] [--state NAME]… [--url ADDRESS] [--readme]
 *
 * `--readme` starts the demo (or takes `--url`) and writes deploy/docs/today-wide.png.
 */

import { spawn } from 'node:child_process';
import { mkdir, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import type { Browser } from 'playwright-core';
import { buildPage } from './build-page.ts';
import { openBrowser } from './chromium.ts';
import { openFixtureHouse } from './fixture-house.ts';
import { type StateName, stateNames } from './fixture-states.ts';

const root = new URL('../..', import.meta.url).pathname;

const sizes = {
  wide: { width: 1280, height: 900 },
  short: { width: 1280, height: 800 },
  phone: { width: 390, height: 844 },
} as const;

type Shot = {
  url: string;
  path: string;
  size: keyof typeof sizes;
  theme: 'light' | 'dark';
  /** False for what the window shows alone; else the page at its full height. */
  whole?: boolean;
  /** What must stand on the page before it is photographed. */
  until?: string;
  /** How long it is given to fill after that: curves come by questions of their own. */
  settleMs?: number;
};

/** What every page shows once the house has answered. */
const anyPage = '.picture canvas, .far main > *';

async function photograph(
  browser: Browser,
  { path, size, settleMs = 400, theme, until = anyPage, url, whole = true }: Shot,
): Promise<void> {
  const page = await browser.newPage({ viewport: sizes[size], colorScheme: theme });
  await page.goto(url);
  await page.locator(until).first().waitFor({ timeout: 40_000 });
  await page.waitForLoadState('load');
  await page.evaluate('document.fonts.ready');
  await page.waitForTimeout(settleMs);
  await page.screenshot({ path, fullPage: whole });
  await page.close();
  process.stdout.write(`${path}\n`);
}

async function shootStates(browser: Browser, out: string, names: readonly StateName[]): Promise<void> {
  const built = await mkdtemp(join(tmpdir(), 'springhouse-page-'));
  await buildPage(built);
  const house = await openFixtureHouse({ page: built, state: 'doomed' });
  try {
    for (const name of names) {
      house.show(name);
      for (const size of ['wide', 'phone'] as const) {
        for (const theme of ['light', 'dark'] as const) {
          await photograph(browser, {
            url: house.address,
            path: join(out, `${name}-${size}-${theme}.png`),
            size,
            theme,
          });
        }
      }
      await photograph(browser, {
        url: `${house.address}?far`,
        path: join(out, `${name}-far.png`),
        size: 'short',
        theme: 'light',
        whole: false,
      });
    }
  } finally {
    await house.close();
    await rm(built, { recursive: true, force: true });
  }
}

/** Starts the demo with a data folder of its own, and returns the address that it prints. */
async function startDemo(data: string): Promise<{ url: string; stop: () => void }> {
  const demo = spawn(process.execPath, ['daemon/main.ts', 'run', '--demo', '--port', '0', '--data', data], {
    cwd: root,
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  let printed = '';
  const url = await new Promise<string>((resolve, reject) => {
    demo.stdout.on('data', (chunk) => {
      printed += String(chunk);
      const address = /http:\/\/\S+/.exec(printed)?.[0];
      if (address !== undefined) resolve(address);
    });
    demo.once('exit', () => reject(new Error(`the demo ended without printing an address: ${printed}`)));
  });
  return { url, stop: () => demo.kill('SIGTERM') };
}

async function shootReadme(browser: Browser, given: string | undefined): Promise<void> {
  const docs = join(root, 'deploy/docs');
  await mkdir(docs, { recursive: true });
  const data = await mkdtemp(join(tmpdir(), 'springhouse-demo-'));
  // A house reads its page when it starts.
  if (given === undefined) await buildPage(join(root, 'dashboard/dist'));
  const demo = given === undefined ? await startDemo(data) : { url: given, stop: () => {} };
  try {
    const path = join(docs, 'today-wide.png');
    await photograph(browser, {
      url: demo.url,
      path,
      size: 'wide',
      theme: 'light',
      until: '.watch-row',
      settleMs: 6000,
    });
  } finally {
    demo.stop();
    await rm(data, { recursive: true, force: true });
  }
}

async function main(): Promise<void> {
  const { values } = parseArgs({
    options: {
      out: { type: 'string', default: join(tmpdir(), 'springhouse-shots') },
      state: { type: 'string', multiple: true },
      url: { type: 'string' },
      readme: { type: 'boolean', default: false },
    },
  });
  await mkdir(values.out, { recursive: true });
  const browser = await openBrowser();
  try {
    if (values.readme) return await shootReadme(browser, values.url);
    if (values.url === undefined) {
      const asked = stateNames.filter((name) => values.state === undefined || values.state.includes(name));
      return await shootStates(browser, values.out, asked);
    }
    for (const size of ['wide', 'phone'] as const) {
      for (const theme of ['light', 'dark'] as const) {
        await photograph(browser, {
          url: values.url,
          path: join(values.out, `live-${size}-${theme}.png`),
          size,
          theme,
        });
      }
    }
  } finally {
    await browser.close();
  }
}

if (import.meta.main) await main();
