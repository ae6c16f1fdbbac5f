import { describe, expect, it } from 'vitest';
import { proveRestart } from './restart-proof.ts';
import { proveShutdown } from './shutdown-proof.ts';

describe('a daemon with a chill open', () => {
  it('says the same after kills as one that was never killed, and nothing twice', {
    timeout: 60_000,
  }, async () => {
    const report = await proveRestart({ kills: 4, seed: 3 });
    expect(report).toMatchObject({ different: 0, doubled: 0, recordFaults: 0 });
    expect(report.said.map((id) => id.split('/')[1])).toEqual([
      'word-said',
      'sitting-opened',
      'watch-opened',
      'chill-will-miss',
    ]);
  });
});

describe('a daemon that is asked to end', () => {
  it('ends within 2 s under load, keeps what it acknowledged, and lets no second one in', {
    timeout: 60_000,
  }, async () => {
    const report = await proveShutdown();
    expect(report).toMatchObject({ code: 0, lost: 0, second: { code: 1 } });
    expect(report.endedInMs).toBeLessThan(2_000);
    expect(report.second.said).toMatch(/^DATA_BUSY: the data folder /);
  });
});
