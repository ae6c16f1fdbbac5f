import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  formatClock,
  formatDate,
  formatHeight,
  formatSpan,
  formatTemp,
  formatTempDiff,
  formatVolume,
  toUnits,
} from '../../../shared/units/format.ts';
import { parseTemp } from '../../../shared/units/parse.ts';

const fromF = (tempF: number) => ((tempF - 32) * 5) / 9;
const limitC = fromF(40);

describe('formatTemp', () => {
  it('writes tenths with a no-break space before the degree sign', () => {
    expect(formatTemp(fromF(39.6), { units: 'F' })).toBe('39.6\u00a0°F');
    expect(formatTemp(4.44, { units: 'C', digits: 0 })).toBe('4\u00a0°C');
  });

  it('writes a true minus, and none before a zero', () => {
    expect([-0.54, -0.04, -12].map((tempC) => formatTemp(tempC, { units: 'C' }))).toEqual([
      '\u22120.5\u00a0°C',
      '0.0\u00a0°C',
      '\u221212.0\u00a0°C',
    ]);
  });

  it.each([
    [40.04, '40.1'],
    [40.0001, '40.1'],
    [40, '40.0'],
    [39.96, '40.0'],
    [39.94, '40.0'],
    [39.9, '39.9'],
    [39.6, '39.6'],
    [39.62, '39.7'],
    [40.1, '40.1'],
    [40.11, '40.2'],
  ])('shows %d °F, wanted under 40, as %s', (tempF, shown) => {
    const text = formatTemp(fromF(tempF), { units: 'F', nearLimit: { limitC, side: 'under' } });
    expect(text).toBe(`${shown}\u00a0°F`);
  });

  it.each([
    [144.96, '144.9'],
    [144.9999, '144.9'],
    [145, '145.0'],
    [145.04, '145.0'],
    [145.19, '145.1'],
    [144.9, '144.9'],
  ])('shows %d °F, wanted over 145, as %s', (tempF, shown) => {
    const text = formatTemp(fromF(tempF), { units: 'F', nearLimit: { limitC: fromF(145), side: 'over' } });
    expect(text).toBe(`${shown}\u00a0°F`);
  });

  it('keeps a number off the shown limit where the limit itself was typed in other units', () => {
    const nearLimit = { limitC: 4.44, side: 'under' } as const;
    expect(formatTemp(4.44, { units: 'F' })).toBe('40.0\u00a0°F');
    expect(formatTemp(4.4415, { units: 'F', nearLimit })).toBe('40.1\u00a0°F');
    expect(formatTemp(4.44, { units: 'F', nearLimit })).toBe('40.0\u00a0°F');
  });

  it('shows whole degrees to the side that has not met, too', () => {
    expect(formatTemp(fromF(40.04), { units: 'F', digits: 0, nearLimit: { limitC, side: 'under' } })).toBe(
      '41\u00a0°F',
    );
  });

  it('shows what is not met as not met, and what is met as met, for any number near any limit', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -5, max: 95, noNaN: true }),
        fc.double({ min: -1.5, max: 1.5, noNaN: true }),
        fc.constantFrom('F' as const, 'C' as const),
        fc.constantFrom('under' as const, 'over' as const),
        fc.constantFrom(0 as const, 1 as const),
        (limit, offset, units, side, digits) => {
          const tempC = limit + offset;
          const number = (text: string) => Number(text.replace('\u2212', '-').split('\u00a0')[0]);
          const shown = number(formatTemp(tempC, { units, digits, nearLimit: { limitC: limit, side } }));
          const shownLimit = number(formatTemp(limit, { units, digits }));
          const met = side === 'under' ? tempC <= limit : tempC >= limit;
          expect(side === 'under' ? shown <= shownLimit : shown >= shownLimit).toBe(met);
          expect(Math.abs(shown - toUnits(tempC, units))).toBeLessThanOrEqual(1.5 / 10 ** digits + 1e-6);
        },
      ),
      { seed: 41, numRuns: 2000 },
    );
  });

  it('gives back in °F every tenth that was typed in °F', () => {
    for (let tenths = -400; tenths <= 2200; tenths += 1) {
      const typed = (Math.abs(tenths) / 10).toFixed(1);
      const sign = tenths < 0 ? '-' : '';
      const tempC = parseTemp(`${sign}${typed} F`) ?? Number.NaN;
      const wanted = `${tenths < 0 ? '\u2212' : ''}${typed}\u00a0°F`;
      expect(formatTemp(tempC, { units: 'F' })).toBe(wanted);
      expect(formatTemp(tempC, { units: 'F', nearLimit: { limitC: tempC, side: 'under' } })).toBe(wanted);
      expect(formatTemp(tempC, { units: 'F', nearLimit: { limitC: tempC + 1, side: 'over' } })).toBe(wanted);
    }
  });
});

describe('formatTempDiff', () => {
  it('adds no 32', () => {
    expect(formatTempDiff(0.5, { units: 'F' })).toBe('0.9\u00a0°F');
    expect(formatTempDiff(0.5, { units: 'C' })).toBe('0.5\u00a0°C');
    expect(formatTempDiff(-5, { units: 'F', digits: 0 })).toBe('\u22129\u00a0°F');
  });
});

describe('formatClock and formatDate', () => {
  const at = (text: string) => Date.parse(text);

  it('writes a time of day without a leading zero, midnight as 0:00', () => {
    expect(formatClock(at('2026-04-18T07:04:59Z'), 'UTC')).toBe('7:04');
    expect(formatClock(at('2026-04-18T00:00:00Z'), 'UTC')).toBe('0:00');
    expect(formatClock(at('2026-04-18T23:59:59.999Z'), 'UTC')).toBe('23:59');
    expect(formatClock(at('2026-04-18T13:04:00Z'), 'America/Denver')).toBe('7:04');
  });

  it('jumps over the hour that spring takes', () => {
    const zone = 'America/Denver';
    expect(formatClock(at('2026-03-08T08:59:00Z'), zone)).toBe('1:59');
    expect(formatClock(at('2026-03-08T09:00:00Z'), zone)).toBe('3:00');
  });

  it('shows the hour that autumn repeats twice', () => {
    const zone = 'America/Denver';
    expect(formatClock(at('2026-11-01T07:30:00Z'), zone)).toBe('1:30');
    expect(formatClock(at('2026-11-01T08:30:00Z'), zone)).toBe('1:30');
    expect(formatClock(at('2026-11-01T09:30:00Z'), zone)).toBe('2:30');
  });

  it('knows zones with half hours, and summer time on both sides of the equator', () => {
    expect(formatClock(at('2026-07-01T00:00:00Z'), 'Asia/Kathmandu')).toBe('5:45');
    expect(formatClock(at('2026-07-01T00:00:00Z'), 'Europe/Vienna')).toBe('2:00');
    expect(formatClock(at('2026-01-01T00:00:00Z'), 'Pacific/Auckland')).toBe('13:00');
  });

  it('writes the day of the zone, not of UTC', () => {
    expect(formatDate(at('2026-04-18T13:04:00Z'), 'America/Denver')).toBe('Saturday 18 April');
    expect(formatDate(at('2026-04-18T03:04:00Z'), 'America/Denver')).toBe('Friday 17 April');
  });

  it('throws on a zone that does not exist', () => {
    expect(() => formatClock(0, 'Lark/Fell')).toThrow(RangeError);
  });
});

describe('formatSpan', () => {
  it.each([
    [0, '0 seconds'],
    [1000, '1 second'],
    [45_000, '45 seconds'],
    [59_600, '1 minute'],
    [60_000, '1 minute'],
    [3_000_000, '50 minutes'],
    [3_570_000, '1 hour'],
    [3_600_000, '1 hour'],
    [3_900_000, '1 hour 5 minutes'],
    [7_260_000, '2 hours 1 minute'],
    [86_399_000, '1 day'],
    [97_200_000, '1 day 3 hours'],
    [-300_000, '5 minutes'],
  ])('writes %d ms as %j', (spanMs, text) => {
    expect(formatSpan(spanMs)).toBe(text);
  });
});

describe('formatVolume and formatHeight', () => {
  it('writes litres as people say them', () => {
    expect([0.95, 0.946352946, 3.8, 3.785411784, 12.34, 250].map(formatVolume)).toEqual([
      '0.95\u00a0L',
      '0.95\u00a0L',
      '3.8\u00a0L',
      '3.79\u00a0L',
      '12.3\u00a0L',
      '250\u00a0L',
    ]);
  });

  it('writes heights in metres or feet', () => {
    expect([formatHeight(1420, 'C'), formatHeight(1420, 'F'), formatHeight(-12, 'C')]).toEqual([
      '1,420\u00a0m',
      '4,659\u00a0ft',
      '\u221212\u00a0m',
    ]);
  });
});
