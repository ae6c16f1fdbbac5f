import { describe, expect, it } from 'vitest';
import {
  continuousMs,
  type Excursion,
  feedExcursion,
  isContinuous,
  isCumulative,
  openExcursion,
} from '../../../daemon/watch/excursion.ts';

const minuteMs = 60_000;
const hourMs = 60 * minuteMs;

function feed(temps: readonly number[], pattern: { side: 'warm' | 'cold'; limitC: number }): Excursion {
  return temps.reduce(
    (state, tempC, index) => feedExcursion(state, pattern, { atMs: index * 10 * minuteMs, tempC }),
    openExcursion(),
  );
}

// WHO PQS E006/TR06 (30-day refrigerator loggers): high alarm at or above +8 °C for 10 h continuous, low alarm
// at or below -0.5 °C for 60 min continuous, logging at 10 min or less; kinds and the inclusive threshold PQS TR07.
const high = { side: 'warm', limitC: 8 } as const;
const low = { side: 'cold', limitC: -0.5 } as const;
const many = (count: number, tempC: number) => Array.from({ length: count }, () => tempC);

describe('alarm patterns of cold-store loggers (WHO PQS E006)', () => {
  it('raises no alarm by 60 samples at 8.0 °C, which are 9 h 50 between first and last', () => {
    const state = feed(many(60, 8), high);
    expect(continuousMs(state)).toBe(590 * minuteMs);
    expect(isContinuous(state, 10 * hourMs)).toBe(false);
    expect(isCumulative(state, 10 * hourMs)).toBe(false);
  });

  it('raises the alarm by 61 samples at 8.0 °C, which are 10 h', () => {
    const state = feed(many(61, 8), high);
    expect(continuousMs(state)).toBe(600 * minuteMs);
    expect(isContinuous(state, 10 * hourMs)).toBe(true);
    expect(isCumulative(state, 10 * hourMs)).toBe(true);
  });

  it('begins the continuous count again at one sample of 7.9 °C, and keeps the cumulative one', () => {
    const state = feed([...many(32, 8), 7.9, ...many(32, 8)], high);
    expect(isContinuous(state, 10 * hourMs)).toBe(false);
    expect(continuousMs(state)).toBe(310 * minuteMs);
    expect(isCumulative(state, 10 * hourMs)).toBe(true);
  });

  it('counts a value equal to the threshold and not one a tenth within it (TR07)', () => {
    expect(continuousMs(feed([29.9, 30], { side: 'warm', limitC: 30 }))).toBe(0);
    expect(continuousMs(feed([29.9], { side: 'warm', limitC: 30 }))).toBeNull();
    expect(continuousMs(feed([-0.5], low))).toBe(0);
    expect(continuousMs(feed([-0.4], low))).toBeNull();
  });

  it('raises the low alarm by 7 samples at -0.5 °C, which are 60 min, and not by 6', () => {
    expect(isContinuous(feed(many(6, -0.5), low), hourMs)).toBe(false);
    expect(isContinuous(feed(many(7, -0.5), low), hourMs)).toBe(true);
  });

  // Shipping indicators, type 1 and 2 (WHO/IVB/05.23): 45 °C for 1 h in one event, 30 °C and 10 °C for 10 and 20 h in all.
  it('raises the shipping alarms: 45 °C for 1 h at once, 30 °C for 10 h in all, 10 °C for 20 h in all', () => {
    expect(isContinuous(feed(many(7, 45), { side: 'warm', limitC: 45 }), hourMs)).toBe(true);
    const broken = Array.from({ length: 12 }, () => [...many(6, 30), 20]).flat();
    expect(isCumulative(feed(broken, { side: 'warm', limitC: 30 }), 10 * hourMs)).toBe(true);
    expect(isCumulative(feed(broken.slice(0, -7), { side: 'warm', limitC: 30 }), 10 * hourMs)).toBe(false);
    expect(isCumulative(feed(many(121, 10), { side: 'warm', limitC: 10 }), 20 * hourMs)).toBe(true);
    expect(isCumulative(feed(many(120, 10), { side: 'warm', limitC: 10 }), 20 * hourMs)).toBe(false);
  });
});
