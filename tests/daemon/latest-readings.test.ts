import { describe, expect, it } from 'vitest';
import { openLatestReadings } from '../../daemon/latest-readings.ts';
import { type Input, readingFlags } from '../../shared/contract/input.ts';

const dawnMs = Date.UTC(2026, 3, 18, 6, 40);
const head = { inputSeq: 1, receivedMs: dawnMs };
const reading = (atMs: number, tempC: number, flags = 0): Input => ({
  ...head,
  kind: 'reading',
  reading: { probe: 'jar', atMs, tempC, flags },
});
const clock = (deltaMs: number): Input => ({ ...head, kind: 'clock', deltaMs, known: true });

describe('the newest readings', () => {
  it('begin with what the history knows, and take no older and no undated one', () => {
    const latest = openLatestReadings([{ probe: 'jar', atMs: dawnMs, tempC: 30, flags: 0 }]);
    latest.see([reading(dawnMs - 1, 31), reading(dawnMs + 9, 9, readingFlags.undated)]);
    expect(latest.of('jar')).toMatchObject({ atMs: dawnMs, tempC: 30 });
    latest.see([reading(dawnMs + 1, 29)]);
    expect(latest.of('jar')).toMatchObject({ atMs: dawnMs + 1, tempC: 29 });
    expect([[...latest.probes()], latest.of('can')]).toEqual([['jar'], null]);
  });

  it('of receipt go on after the clock was set back', () => {
    const latest = openLatestReadings([]);
    latest.see([reading(dawnMs, 30, readingFlags.receipt), clock(-3_600_000)]);
    expect(latest.of('jar')?.atMs).toBe(dawnMs - 3_600_000);
    latest.see([reading(dawnMs - 3_599_000, 29, readingFlags.receipt)]);
    expect(latest.of('jar')?.tempC).toBe(29);
  });

  it('of a source keep their instants when the clock is set', () => {
    const latest = openLatestReadings([]);
    latest.see([reading(dawnMs, 30), clock(-3_600_000)]);
    expect(latest.of('jar')?.atMs).toBe(dawnMs);
  });
});
