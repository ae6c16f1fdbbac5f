import {
  array,
  assert,
  constantFrom,
  double,
  integer,
  oneof,
  property,
  record,
  uint8Array,
} from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type BlockReadings, decodeBlock } from '../../../daemon/history/block-decoder.ts';
import { encodeBlock } from '../../../daemon/history/block-encoder.ts';

const dawnMs = Date.UTC(2026, 4, 3, 5, 30);

type Row = { stepMs: number; tempC: number; flags: number };

/** Readings in order, each some milliseconds after the one before. */
function blockOf(rows: readonly Row[], firstMs = dawnMs): BlockReadings {
  let at = firstMs;
  const atMs = rows.map(({ stepMs }, index) => {
    if (index > 0) at += stepMs;
    return at;
  });
  return {
    atMs: Float64Array.from(atMs),
    tempC: Float64Array.from(rows, ({ tempC }) => tempC),
    flags: Uint8Array.from(rows, ({ flags }) => flags),
  };
}

const stepMs = oneof(
  constantFrom(1000, 1000, 1000, 1000, 997, 1003, 0, 1),
  integer({ min: 0, max: 86_400_000 }),
);
const tempC = oneof(
  integer({ min: -4000, max: 30_000 }).map((steps) => steps / 16),
  integer({ min: 50, max: 60 }).map((steps) => steps / 16),
  integer({ min: -27_000, max: 200_000 }).map((steps) => steps / 100),
);
const anyTempC = double({ min: -273.15, max: 2000, noNaN: true }).filter((value) => !Object.is(value, -0));
const flags = constantFrom(0, 0, 0, 0, 4, 8, 255);
const rowsOf = (value: typeof tempC) =>
  array(record({ stepMs, tempC: value, flags }), { minLength: 1, maxLength: 400 });

describe('a sealed block', () => {
  it('gives back stamps, values and flags exactly, whatever came', () => {
    assert(
      property(
        oneof(rowsOf(tempC), rowsOf(anyTempC)),
        integer({ min: 0, max: 253_402_000_000_000 }),
        (rows, firstMs) => {
          const block = blockOf(rows, firstMs);
          expect(decodeBlock(encodeBlock(block))).toEqual(block);
        },
      ),
      { numRuns: 300 },
    );
  });

  it('gives back a grid, a table of odd values and values without order', () => {
    const fahrenheit = (step: number) => ((step / 10 - 32) * 5) / 9;
    for (const value of [
      (index: number) => 4 + Math.round(Math.sin(index / 90) * 20) / 16,
      (index: number) => fahrenheit(400 + (index % 60)),
      (index: number) => Math.sin(index) * Math.E,
      () => -273.15,
    ]) {
      const rows = Array.from({ length: 3000 }, (_, index) => ({
        stepMs: 1000,
        tempC: value(index),
        flags: 0,
      }));
      expect(decodeBlock(encodeBlock(blockOf(rows)))).toEqual(blockOf(rows));
    }
  });

  it('keeps steady stamps in a few bytes, and a gap in a few more', () => {
    const steady = Array.from({ length: 14_400 }, () => ({ stepMs: 1000, tempC: 4, flags: 0 }));
    const gap = steady.map((row, index) => (index === 7000 ? { ...row, stepMs: 3_600_000 } : row));
    expect(encodeBlock(blockOf(steady)).length).toBeLessThan(60);
    expect(encodeBlock(blockOf(gap)).length - encodeBlock(blockOf(steady)).length).toBeLessThan(10);
  });

  it('reads every cut and every junk as damage or as readings, and never fails otherwise', () => {
    const rows = Array.from({ length: 60 }, (_, index) => ({
      stepMs: 990 + (index % 20),
      tempC: index % 7,
      flags: 0,
    }));
    const bytes = encodeBlock(blockOf(rows));
    for (let length = 0; length < bytes.length; length++) decodeBlock(bytes.subarray(0, length));
    expect(decodeBlock(bytes.subarray(0, 5))).toBeNull();
    expect(decodeBlock(new Uint8Array())).toBeNull();
    expect(decodeBlock(Uint8Array.of(2, ...bytes.subarray(1)))).toBeNull();
    assert(
      property(uint8Array({ maxLength: 80 }), integer({ min: 0, max: 60 }), (junk, at) => {
        const bent = Uint8Array.from(bytes);
        bent.set(junk.subarray(0, Math.max(0, bent.length - at)), at);
        decodeBlock(bent);
      }),
      { numRuns: 300 },
    );
  });
});
