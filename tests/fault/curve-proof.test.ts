import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildPage } from '../browser/build-page.ts';
import { milkTrace } from '../daemon/watch/trace.ts';
import { lacks } from '../machine/what-this-machine-lacks.ts';
import { playCurve } from './curve-proof.ts';

describe.skipIf(lacks('socat') || lacks('chromium'))('a curve on a real serial line', () => {
  let pageFolder: string;

  beforeAll(async () => {
    pageFolder = await mkdtemp(join(tmpdir(), 'springhouse-page-'));
    await buildPage(pageFolder);
  });

  afterAll(async () => {
    await rm(pageFolder, { recursive: true, force: true });
  });

  it('ends in the history reading for reading, in a forecast, and in a verdict that a browser sees turn', async () => {
    const trace = milkTrace({ aroundC: -2, tauMin: 45, minutes: 40, everyMs: 5_000 });
    const startMs = trace[0]?.atMs ?? 0;
    const outcome = await playCurve({
      points: trace.map(({ atMs, tempC }) => ({ atS: (atMs - startMs) / 1000, tempC })),
      beginAtS: 0,
      limitC: ((40 - 32) * 5) / 9,
      spanMs: 3_600_000,
      pageFolder,
    });
    expect(outcome).toMatchObject({ played: trace.length, kept: trace.length, different: 0 });
    expect(outcome.forecast).toMatchObject({ verdict: 'not-on-course' });
    expect(outcome.shown).toContain('Too early to say');
    expect(outcome.shown.at(-1)).toBe('Not on course');
  });
});
