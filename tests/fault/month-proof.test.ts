import { describe, expect, it } from 'vitest';
import { proveMonth } from './month-proof.ts';

describe('the month, small', () => {
  it('warns of the doomed jar on two ways, and cries wolf once at the most', () => {
    const report = proveMonth({ seed: 2, days: 8 });
    expect(report).toMatchObject({ doomed: 1, warnedOnTwoWays: 1, unneededAlarms: 0 });
    expect(report.unneededWarns).toBeLessThanOrEqual(1);
  });

  it('finds a house out that keeps its warnings to itself', () => {
    expect(proveMonth({ seed: 2, days: 8, deaf: true })).toMatchObject({ doomed: 1, warnedOnTwoWays: 0 });
  });
});
