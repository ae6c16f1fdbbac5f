import { describe, expect, it } from 'vitest';
import type { Trace } from '../../daemon/cli/csv-trace.ts';
import { parseReplayOptions } from '../../daemon/cli/replay-options.ts';
import { replay } from '../../daemon/replay.ts';

const minuteMs = 60_000;
const startMs = Date.UTC(2026, 3, 18, 6);

/** The outcome of `keep:fridge=0C..4.44C` over readings each half a minute. */
function outcomeOf(temps: readonly number[], everyMs = 30_000) {
  const parsed = parseReplayOptions('trace.csv', { watch: ['keep:fridge=0C..4.44C'] });
  if ('faults' in parsed) throw new Error(parsed.faults.join('\n'));
  const rows = temps.map((tempC, index) => ({ atMs: startMs + index * everyMs, tempsC: [tempC] }));
  const trace: Trace = { probes: ['fridge'], rows };
  return replay(trace, parsed.options).filter(({ type }) => type === 'outcome');
}

const many = (count: number, tempC: number) => Array.from({ length: count }, () => tempC);
const outcome = { type: 'outcome', watch: 'keep-fridge-1' };

describe('the outcome of a keep in a replay', () => {
  it('is met where no reading left the window', () => {
    const at = startMs + 119 * 30_000;
    expect(outcomeOf(many(120, 3))).toEqual([{ ...outcome, at, met: true, crossedAt: null }]);
  });

  it('is met at the limits themselves, which belong to the window', () => {
    expect(outcomeOf([...many(60, 4.44), ...many(60, 0)])).toMatchObject([{ met: true, crossedAt: null }]);
  });

  it('is not met by the first reading beyond that none in the next minute contradicts', () => {
    const temps = [...many(40, 3), 5, ...many(40, 3), ...many(20, 4.5)];
    const crossedAt = startMs + 81 * 30_000;
    expect(outcomeOf(temps)).toMatchObject([{ met: false, crossedAt }]);
  });

  it('leaves on the cold side as well', () => {
    const crossedAt = startMs + 20 * minuteMs;
    expect(outcomeOf([...many(40, 1), ...many(40, -0.1)])).toMatchObject([{ met: false, crossedAt }]);
  });

  it('counts the last reading, and one of a slow probe, which nothing contradicts', () => {
    expect(outcomeOf([...many(40, 3), 5])).toMatchObject([
      { met: false, crossedAt: startMs + 20 * minuteMs },
    ]);
    expect(outcomeOf([3, 3, 5, 3], 10 * minuteMs)).toMatchObject([
      { met: false, crossedAt: startMs + 20 * minuteMs },
    ]);
  });

  it('counts readings also where they swing as air does', () => {
    const air = Array.from({ length: 480 }, (_, index) => 3 + 2 * Math.sin(index / 12));
    const first = air.findIndex((tempC) => tempC > 4.44);
    expect(outcomeOf(air)).toMatchObject([{ met: false, crossedAt: startMs + first * 30_000 }]);
  });
});
