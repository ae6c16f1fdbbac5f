import { describe, expect, it } from 'vitest';
import { lacks } from '../machine/what-this-machine-lacks.ts';
import { proveCuts, proveNight } from './wire-proof.ts';

describe.skipIf(lacks('mosquitto'))('the proof of a broker that is cut, small', () => {
  it('finds every acknowledged reading once', { timeout: 30_000 }, async () => {
    expect(await proveCuts({ cuts: 6, seed: 1 })).toMatchObject({ lost: 0, doubled: 0 });
  });
});

describe('the proof of a night that is flushed, small', () => {
  it('finds every reading once, and lets the others go on', { timeout: 30_000 }, async () => {
    const report = await proveNight({ hours: 2, seed: 1 });
    expect(report).toMatchObject({ lost: 0, doubled: 0 });
    expect(report.acknowledged).toBeGreaterThan(1_440);
    expect(report.slowestOtherMs).toBeLessThan(5_000);
  });

  it('finds a house out that does not keep what it acknowledges', { timeout: 30_000 }, async () => {
    expect((await proveNight({ hours: 2, seed: 1, lossy: true })).lost).toBeGreaterThan(0);
  });
});
