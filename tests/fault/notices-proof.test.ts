import { describe, expect, it } from 'vitest';
import { proveNoticesKills, proveNoticesWrites } from './notices-proof.ts';

describe('the proof of the notices, small', () => {
  it('finds none lost, doubled or falsely sent while writes fail in turn', async () => {
    const report = await proveNoticesWrites({ writes: 2, seed: 1 });
    expect(report).toMatchObject({ notices: 4, lost: 0, falselySent: 0, doubled: 0 });
  });

  it('finds none lost, doubled or falsely sent while the daemon is killed', async () => {
    const report = await proveNoticesKills({ kills: 2, seed: 1 });
    expect(report).toMatchObject({ lost: 0, falselySent: 0, doubled: 0 });
    expect(report.notices).toBeGreaterThan(0);
  });

  it('finds what a house loses that calls letters sent too early', async () => {
    const report = await proveNoticesWrites({ writes: 1, seed: 1, early: true });
    expect(report.lost + report.falselySent).toBeGreaterThan(0);
  });
});
