import { describe, expect, it } from 'vitest';
import { clockPlays, isClockWrong, proveClock } from './clock-proof.ts';

const right = clockPlays.flatMap(([scene, fault]) => (fault === null ? [scene] : []));

describe('the clock proof, small', () => {
  it.each(right)(
    'keeps holds, hours, readings and notices exact through %s',
    { timeout: 30_000 },
    async (scene) => {
      const report = await proveClock({ scene, seed: 2, size: 'small' });
      expect(report).toMatchObject({
        missing: [],
        unwanted: [],
        doubled: 0,
        lostNotices: 0,
        lostReadings: 0,
      });
      expect(report.wanted).toBeGreaterThan(1);
    },
  );

  it('finds a house out that believes any time', { timeout: 30_000 }, async () => {
    const report = await proveClock({ scene: 'restored', seed: 2, size: 'small', fault: 'believes' });
    expect(isClockWrong(report)).toBe(true);
  });
});
