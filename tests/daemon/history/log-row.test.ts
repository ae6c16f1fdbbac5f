import { crc32 } from 'node:zlib';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type LoggedReading, packCommit, unpackCommit } from '../../../daemon/history/log-row.ts';

const baseMs = Date.UTC(2026, 3, 18, 7);

function unpacked(bytes: Uint8Array, count: number): LoggedReading[] | null {
  const found: LoggedReading[] = [];
  return unpackCommit(bytes, count, (reading) => found.push({ ...reading })) ? found : null;
}

const logged = fc.record({
  series: fc.integer({ min: 1, max: 5 }),
  era: fc.integer({ min: 0, max: 2 }),
  tMs: fc.integer({ min: 0, max: 2 * baseMs }),
  tempC: fc.oneof(
    fc.integer({ min: -640, max: 1600 }).map((steps) => steps / 16),
    fc.integer({ min: -40_000, max: 100_000 }).map((steps) => steps / 1000),
    fc.double({ min: -273.15, max: 2000, noNaN: true }).map((tempC) => tempC + 0),
  ),
  flags: fc.integer({ min: 0, max: 255 }),
  receivedMs: fc.integer({ min: baseMs, max: baseMs + 1e9 }),
});

/** Seconds of some probes on a serial line, in an era of the daemon. */
function serial(seconds: number): LoggedReading[] {
  return Array.from({ length: seconds * 8 }, (_, index) => {
    const tMs = 5_000_000 + Math.floor(index / 8) * 1_000 + (index % 8) * 113 + (index % 3);
    return {
      series: (index % 8) + 1,
      era: 4,
      tMs,
      tempC: 3 + (index % 5) / 16,
      flags: 1,
      receivedMs: baseMs + tMs,
    };
  });
}

describe('a row of the log', () => {
  it('gives back every reading as it was', () => {
    fc.assert(
      fc.property(fc.array(logged, { minLength: 1, maxLength: 40 }), (readings) => {
        expect(unpacked(packCommit(readings), readings.length)).toEqual(readings);
      }),
      { seed: 6, numRuns: 300 },
    );
  });

  it('takes five bytes a reading of six seconds of eight serial probes', () => {
    const readings = serial(6);
    const bytes = packCommit(readings);
    expect(unpacked(bytes, readings.length)).toEqual(readings);
    expect(bytes.length / readings.length).toBeLessThanOrEqual(5);
  });

  it('refuses a row that was changed anywhere', () => {
    const readings = serial(1);
    const bytes = packCommit(readings);
    for (let place = 0; place < bytes.length; place++) {
      const changed = Uint8Array.from(bytes);
      changed[place] = (changed[place] as number) ^ 16;
      expect(unpacked(changed, readings.length)).toBeNull();
    }
  });

  it('reads rows of the first format', () => {
    // Series 1 of era 0 at 4.5 °C, flags 8, a second before its receipt; then a second later at 4.5625 °C.
    const body = [
      1,
      ...number(baseMs),
      0,
      1,
      0,
      4 + 8 + 16,
      8,
      ...signed(-1_000),
      ...signed(1_000),
      ...signed(72),
    ];
    const second = [0, 8, ...signed(1_000), ...signed(1)];
    const bytes = Uint8Array.from([...body, ...second]);
    const sum = crc32(bytes);
    const row = Uint8Array.from([...bytes, sum & 255, (sum >>> 8) & 255, (sum >>> 16) & 255, sum >>> 24]);
    expect(unpacked(row, 2)).toEqual([
      { series: 1, era: 0, tMs: baseMs - 1_000, tempC: 4.5, flags: 8, receivedMs: baseMs },
      { series: 1, era: 0, tMs: baseMs, tempC: 4.5625, flags: 8, receivedMs: baseMs + 1_000 },
    ]);
  });
});

function number(value: number): number[] {
  return value < 128 ? [value] : [(value % 128) | 128, ...number(Math.floor(value / 128))];
}

function signed(value: number): number[] {
  return number(value < 0 ? -2 * value - 1 : 2 * value);
}
