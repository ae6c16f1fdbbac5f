/** Each minute of a block: least, most, sum and count of its dated readings, packed. */
import { readingFlags } from '../../shared/contract/input.ts';
import type { BlockReadings } from './block-decoder.ts';
import { type ByteWriter, openByteWriter } from './byte-writer.ts';
import { valuesAsNumbers } from './value-kinds.ts';

export const minuteMs = 60_000;

const kinds = { grid: 0, plain: 1 } as const;

/**
 * Packs the minutes of readings in order. A minute is: how many minutes were left out before it, and whether
 * its count is another than the one before; the count where it is; then least (from the one before), most
 * (from the least) and sum (from what the middle of the two would make) in steps of the grid, or as doubles.
 */
export function packMinutes({ atMs, tempC, flags }: BlockReadings): Uint8Array {
  const values = valuesAsNumbers(tempC);
  const isGrid = values.kind === 'grid';
  const numbers = isGrid ? values.numbers : tempC;
  const to = openByteWriter(16 + atMs.length / 8);
  to.byte(isGrid ? kinds.grid : kinds.plain);
  if (isGrid) to.varint(values.scale);
  const entry = isGrid ? gridEntry(to) : plainEntry(to);
  let last = 0;
  let lastCount = 0;
  for (let from = 0; from < atMs.length; ) {
    const minute = Math.floor((atMs[from] as number) / minuteMs);
    const end = (minute + 1) * minuteMs;
    let count = 0;
    let sum = 0;
    let min = Infinity;
    let max = -Infinity;
    for (; from < atMs.length && (atMs[from] as number) < end; from++) {
      if (((flags[from] as number) & readingFlags.undated) !== 0) continue;
      const number = numbers[from] as number;
      count += 1;
      sum += number;
      if (number < min) min = number;
      if (number > max) max = number;
    }
    if (count === 0) continue;
    const same = count === lastCount ? 0 : 1;
    to.varint((minute - last) * 2 + same);
    if (same === 1) to.varint(count);
    entry(min, max, sum, count);
    last = minute + 1;
    lastCount = count;
  }
  return to.bytes();
}

type Entry = (min: number, max: number, sum: number, count: number) => void;

function gridEntry(to: ByteWriter): Entry {
  let lastMin = 0;
  return (min, max, sum, count) => {
    to.signed(min - lastMin);
    to.varint(max - min);
    to.signed(sum - Math.round((count * (min + max)) / 2));
    lastMin = min;
  };
}

function plainEntry(to: ByteWriter): Entry {
  return (min, max, sum) => to.doubles([min, max, sum]);
}

/**
 * A place among packed minutes. `least`, `most` and `sum` of the minute that it stands at are steps of the
 * grid: °C times `scale`.
 */
export type MinuteCursor = {
  readonly view: DataView;
  readonly isGrid: boolean;
  readonly scale: number;
  /** Where the next minute is told. */
  at: number;
  /** Minutes since the epoch; -1 before the first one, Infinity behind the last. */
  minute: number;
  count: number;
  least: number;
  most: number;
  sum: number;
};

/** Opens what `packMinutes` packed before its first minute. */
export function openMinutes(bytes: Uint8Array): MinuteCursor {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const cursor = { view, isGrid: false, scale: 1, at: 0, minute: -1, count: 0, least: 0, most: 0, sum: 0 };
  if (bytes.length === 0) return cursor;
  const isGrid = view.getUint8(cursor.at++) === kinds.grid;
  return { ...cursor, isGrid, scale: isGrid ? varint(cursor) : 1, at: cursor.at };
}

/** Takes over `cursor` and moves it to the next minute; a `RangeError` where the bytes end too soon. */
export function nextMinute(cursor: MinuteCursor): void {
  const { view } = cursor;
  if (cursor.at >= view.byteLength) {
    cursor.minute = Infinity;
    return;
  }
  const said = varint(cursor);
  cursor.minute += 1 + Math.floor(said * 0.5);
  if ((said & 1) === 1) cursor.count = varint(cursor);
  if (cursor.isGrid) {
    cursor.least += signed(varint(cursor));
    cursor.most = cursor.least + varint(cursor);
    const middle = Math.floor(cursor.count * (cursor.least + cursor.most) * 0.5 + 0.5);
    cursor.sum = signed(varint(cursor)) + middle;
    return;
  }
  cursor.least = view.getFloat64(cursor.at, true);
  cursor.most = view.getFloat64(cursor.at + 8, true);
  cursor.sum = view.getFloat64(cursor.at + 16, true);
  cursor.at += 24;
}

/** As a `ByteReader`'s, without one: this is a hot loop. */
function varint(cursor: { readonly view: DataView; at: number }): number {
  let value = cursor.view.getUint8(cursor.at++);
  if (value < 128) return value;
  value &= 127;
  for (let unit = 128; ; unit *= 128) {
    const next = cursor.view.getUint8(cursor.at++);
    value += (next & 127) * unit;
    if (next < 128) return value;
  }
}

function signed(value: number): number {
  if (value < 0x40000000) return (value >>> 1) ^ -(value & 1);
  return value % 2 === 0 ? value / 2 : -(value + 1) / 2;
}
