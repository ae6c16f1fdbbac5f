import { describe, expect, it } from 'vitest';
import { lacks } from '../machine/what-this-machine-lacks.ts';
import { proveMirror } from './mirror-proof.ts';

describe.skipIf(lacks('victoria-metrics'))('a mirror to a real time-series server', () => {
  it.each(['stops', 'kills'] as const)(
    'has every reading once, late ones too, where server and daemon go away under it (%s)',
    { timeout: 60_000 },
    async (variant) => {
      const report = await proveMirror({ variant, outages: 1, seed: 2, outageMostMs: 500 });
      expect(report).toMatchObject({ lost: 0, doubled: 0, wrong: 0, strange: 0, late: 500 });
      expect(report.kept).toBeGreaterThan(1_000);
    },
  );
});
