import { describe, expect, it } from 'vitest';
import { lacks } from '../machine/what-this-machine-lacks.ts';
import { type KillVariant, proveKill } from './kill-proof.ts';

const whole = { lost: 0, doubled: 0, wrong: 0, recordFaults: 0, inputsDoubled: 0 };
const seed = 20_261;

describe('a daemon that is killed at random moments', () => {
  it('loses and doubles nothing that its own broker acknowledged', { timeout: 90_000 }, async () => {
    const report = await proveKill({ variant: 'embedded', kills: 7, seed, size: 'small' });
    expect(report).toMatchObject({ kills: 7, ...whole });
    expect(report.acknowledged).toBeGreaterThan(1_000);
  });

  it.skipIf(lacks('mosquitto')).each([
    ['outside-3.1.1', 7],
    ['outside-5.0', 6],
  ] as [KillVariant, number][])(
    'loses and doubles nothing over a broker: %s',
    { timeout: 90_000 },
    async (variant, kills) => {
      const report = await proveKill({ variant, kills, seed, size: 'small' });
      expect(report).toMatchObject({ kills, ...whole });
      expect(report.acknowledged).toBeGreaterThan(1_000);
    },
  );

  it('loses some where it acknowledges before the commit, so that this proof can fail', {
    timeout: 90_000,
  }, async () => {
    const report = await proveKill({ variant: 'early', kills: 4, seed, size: 'small' });
    expect(report.lost).toBeGreaterThan(0);
  });
});
