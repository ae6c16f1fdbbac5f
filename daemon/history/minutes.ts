/** Each minute of a block: least, most, sum and count of its dated readings, packed. */
import { readingFlags } from '../../shared/contract/input.ts';
import type { BlockReadings } from './block-decoder.ts';
import { openByteReader } from './byte-reader.ts';
import { type ByteWriter, openByteWriter } from './byte-writer.ts';
import { valuesAsNumbers } from './value-kinds.ts';

export const minuteMs = 60_000;

/** Minutes that hold dated readings, in order; `many` places of each column are told. */
export type Minutes = {
  many: number;
  /** Minutes since the epoch. */
  minute: Float64Array;
  minC: Float64Array;
  maxC: Float64Array;
  sumC: Float64Array;
  count: Float64Array;
};

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

/** Unpacks what `packMinutes` packed, up to but not the minute `beforeMinute`; one loop, since it is a hot one. */
export function unpackMinutes(bytes: Uint8Array, beforeMinute = Infinity): Minutes {
  // A minute takes four bytes at least.
  const room = (bytes.length >> 2) + 1;
  const columns = new Float64Array(room * 5);
  const column = (place: number) => columns.subarray(place * room, (place + 1) * room);
  const [minute, minC, maxC, sumC, counts] = [column(0), column(1), column(2), column(3), column(4)];
  const from = openByteReader(bytes);
  let many = 0;
  if (bytes.length > 0) {
    const isGrid = from.byte() === kinds.grid;
    const scale = isGrid ? from.varint() : 1;
    let at = 0;
    let count = 0;
    let min = 0;
    while (!from.isAtEnd) {
      const said = from.varint();
      at += Math.floor(said / 2);
      if (at >= beforeMinute) break;
      if (said % 2 === 1) count = from.varint();
      minute[many] = at;
      counts[many] = count;
      if (isGrid) {
        min += from.signed();
        const max = min + from.varint();
        minC[many] = min / scale;
        maxC[many] = max / scale;
        sumC[many] = (from.signed() + Math.round((count * (min + max)) / 2)) / scale;
      } else {
        minC[many] = from.double();
        maxC[many] = from.double();
        sumC[many] = from.double();
      }
      at += 1;
      many += 1;
    }
  }
  return { many, minute, minC, maxC, sumC, count: counts };
}
