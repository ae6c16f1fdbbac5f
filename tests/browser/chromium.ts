import { type Browser, chromium } from 'playwright-core';
import { pathOf } from '../machine/what-this-machine-lacks.ts';

/** What keeps Chromium quiet and alone: it asks nothing of the net by itself and needs no graphics card. */
const flags = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

/** Starts this machine's Chromium; throws where there is none. `close()` of the browser ends it. */
export function openBrowser(): Promise<Browser> {
  const executablePath = pathOf('chromium');
  if (executablePath === null) throw new Error('chromium must be installed. Run .ci/setup first.');
  return chromium.launch({ executablePath, args: flags });
}
