/** Writes a sealed block; `block-decoder.ts` reads it, and its page tells the format. */
import { type BlockReadings, blockFormat, stampKinds, stepParts, valueKinds } from './block-decoder.ts';
import { openByteWriter } from './byte-writer.ts';
import { predictedGains, writePredicted } from './predicted-writer.ts';
import { valuesAsNumbers } from './value-kinds.ts';

/** The longest span of one block: beyond it the predictor's numbers would not be exact. */
export const blockSpanMsMax = 2 ** 36;

type Writer = ReturnType<typeof openByteWriter>;

/** Returns the bytes of readings in order of their instants, at least one, within `blockSpanMsMax`. */
export function encodeBlock({ atMs, tempC, flags }: BlockReadings): Uint8Array {
  const to = openByteWriter(64 + atMs.length);
  to.byte(blockFormat);
  to.varint(atMs.length);
  writeFlags(to, flags);
  writeStamps(to, atMs);
  writeValues(to, tempC);
  return to.bytes();
}

function writeFlags(to: Writer, flags: Uint8Array): void {
  for (let from = 0; from < flags.length; ) {
    let end = from + 1;
    while (end < flags.length && flags[end] === flags[from]) end += 1;
    to.byte(flags[from] as number);
    to.varint(end - from);
    from = end;
  }
}

function writeStamps(to: Writer, atMs: Float64Array): void {
  const intervalMs = Math.round(usualInterval(atMs, 1));
  const regular = regularStamps(atMs, intervalMs);
  // Few exceptions are told one by one; where most stamps are off, by what a predictor misses of them.
  if (regular.exceptions * 16 <= atMs.length) {
    to.append(regular.bytes);
    return;
  }
  const firstMs = atMs[0] as number;
  const sinceMs = atMs.map((at) => at - firstMs);
  const slope = Math.round(steadyInterval(atMs) * stepParts);
  to.byte(stampKinds.coded);
  to.varint(firstMs);
  const gains = predictedGains(sinceMs, { slope, kind: 'stamps' });
  writePredicted(to, sinceMs, { first: 0, slope, ...gains });
}

function regularStamps(atMs: Float64Array, intervalMs: number): { exceptions: number; bytes: Uint8Array } {
  const list = openByteWriter(16);
  let exceptions = 0;
  let last = 0;
  for (let index = 1; index < atMs.length; index++) {
    const off = (atMs[index] as number) - (atMs[index - 1] as number) - intervalMs;
    if (off === 0) continue;
    exceptions += 1;
    if (exceptions * 16 > atMs.length) break;
    list.varint(index - last);
    list.signed(off);
    last = index;
  }
  const to = openByteWriter(32);
  to.byte(stampKinds.regular);
  to.varint(atMs[0] as number);
  to.signed(intervalMs);
  to.varint(exceptions);
  to.append(list.bytes());
  return { exceptions, bytes: to.bytes() };
}

/** The middle one of up to some hundred intervals, each the mean of `over` in a row; ms. */
function usualInterval(atMs: Float64Array, over: number): number {
  if (atMs.length <= over) return 0;
  const stride = Math.max(1, Math.floor(atMs.length / 257));
  const found: number[] = [];
  for (let index = over; index < atMs.length; index += stride) {
    found.push(((atMs[index] as number) - (atMs[index - over] as number)) / over);
  }
  return found.sort((a, b) => a - b)[found.length >> 1] as number;
}

/** The interval beneath stamps that waver: whole milliseconds, unless the sender's clock surely runs otherwise. */
function steadyInterval(atMs: Float64Array): number {
  const intervalMs = usualInterval(atMs, Math.min(64, atMs.length - 1));
  const whole = Math.round(intervalMs);
  return Math.abs(intervalMs - whole) < 0.2 ? whole : intervalMs;
}

function writeValues(to: Writer, tempC: Float64Array): void {
  const values = valuesAsNumbers(tempC);
  to.byte(valueKinds[values.kind]);
  switch (values.kind) {
    case 'plain':
      to.doubles(tempC);
      return;
    case 'grid':
      to.varint(values.scale);
      break;
    case 'table':
      to.varint(values.table.length);
      to.doubles(values.table);
      break;
    default:
      values satisfies never;
  }
  const { numbers } = values;
  const gains = predictedGains(numbers, { slope: 0, kind: 'values' });
  writePredicted(to, numbers, { first: numbers[0] as number, slope: 0, ...gains });
}
