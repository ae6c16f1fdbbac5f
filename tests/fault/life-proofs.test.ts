import { describe, expect, it } from 'vitest';
import { proveRestart, type RestartJar } from './restart-proof.ts';
import { proveShutdown } from './shutdown-proof.ts';

describe('a daemon with a chill open', () => {
  it.each<[RestartJar, string[]]>([
    ['misses', ['chill-will-miss']],
    ['makes', ['freeze-near', 'chill-made']],
  ])(
    'says the same after kills as in one life, and nothing twice, of milk that %s its hour',
    {
      timeout: 60_000,
    },
    async (jar, told) => {
      const report = await proveRestart({ jar, kills: 3, seed: 3 });
      expect(report).toMatchObject({ different: 0, doubled: 0, recordFaults: 0 });
      const kinds = report.said.map((id) => id.split('/')[1]);
      expect(kinds.filter((kind) => kind !== 'watch-turned')).toEqual([
        'word-said',
        'sitting-opened',
        'watch-opened',
        ...told,
      ]);
    },
  );
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
