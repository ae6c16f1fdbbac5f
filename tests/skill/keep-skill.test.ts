import { describe, expect, it } from 'vitest';
import { scoreFault, scoreQuiet, summary } from './keep/score.ts';

// The small size of `npm run skill -- keep`: the same code, few days and faults, fixed seeds.
describe('the keeping of cold places on simulated fridges', () => {
  it('raises no alarm in quiet days of doors, defrosts and warm jars, and holds its state small', () => {
    const quiet = scoreQuiet({ seed: 4_711_000, days: 5, probeIn: 'air' });
    expect(quiet.alarms).toBe(0);
    expect(quiet.warnings).toBe(0);
    expect(quiet.doors).toBeGreaterThan(10);
    expect(quiet.stateBytes).toBeLessThan(16_384);
  });

  it('names a stopped compressor half an hour before the milk leaves, and sums it up', () => {
    const fault = scoreFault({ seed: 471_100_050, fault: 'compressor', probeIn: 'air' });
    expect(fault.left).toBe(true);
    expect(fault.namedMin).toBeGreaterThanOrEqual(30);
    expect(summary({ quiet: [], faults: [fault] }).compressor).toMatchObject({
      runs: 1,
      left: 1,
      named30: 1,
    });
  });
});
