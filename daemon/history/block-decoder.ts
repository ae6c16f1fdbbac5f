/**
 * Reads a sealed block: readings of one probe as one run of bytes. The format is told in
 * `deploy/docs/history-format.md`; this file needs nothing but the language, so that it can be carried elsewhere.
 */

/** The readings of a block in order of their instants; arrays of one length. */
export type BlockReadings = {
  /** Whole milliseconds, epoch; or of the daemon's steady clock, where the block waits for its UTC. */
  atMs: Float64Array;
  /** °C as read, bit for bit. */
  tempC: Float64Array;
  flags: Uint8Array;
};

/** The first byte of every block of this format. */
export const blockFormat = 1;

/** The most readings that a block may say it holds; one that says more is damaged. */
export const blockReadingsMax = 1 << 20;

/** How values are told: whole numbers over a scale, places in a table of values, or the values themselves. */
export const valueKinds = { grid: 0, table: 1, plain: 2 } as const;

/** How stamps are told: an interval with exceptions, or what a predictor missed. */
export const stampKinds = { regular: 0, coded: 1 } as const;

/** Where the parts of a predicted series stand: the number it begins with and how the predictor leans. */
export type Predictor = { first: number; slope: number; levelGain: number; slopeGain: number };

/** Where each decision's contexts begin, in one array. */
export const contexts = { zero: 0, side: 64, more: 128, exponent: 384, mantissa: 448, size: 512 } as const;

/** Sizes of a miss that are told one by one; what is beyond is told by its exponent and mantissa. */
export const unaryMax = 20;

/** A miss beyond this begins the prediction anew at the value, as after a gap. */
export const missMax = 1 << 20;

/** Parts of a step: predictions are whole numbers of these. */
export const stepParts = 65_536;

/**
 * Returns the readings of a block; `null` where the bytes break the format, which a check of the sum over
 * the row has told before.
 */
export function decodeBlock(bytes: Uint8Array): BlockReadings | null {
  try {
    return readBlock(openBytes(bytes));
  } catch (error) {
    if (error instanceof RangeError) return null;
    throw error;
  }
}

function readBlock(from: Bytes): BlockReadings {
  expect(from.byte() === blockFormat);
  const count = from.varint();
  expect(count > 0 && count <= blockReadingsMax);
  const flags = readFlags(from, count);
  const atMs = readStamps(from, count);
  const tempC = readValues(from, count);
  return { atMs, tempC, flags };
}

function readFlags(from: Bytes, count: number): Uint8Array {
  const flags = new Uint8Array(count);
  for (let done = 0; done < count; ) {
    const value = from.byte();
    const end = done + from.varint();
    expect(end > done && end <= count);
    flags.fill(value, done, end);
    done = end;
  }
  return flags;
}

function readStamps(from: Bytes, count: number): Float64Array {
  const kind = from.byte();
  if (kind === stampKinds.coded) {
    const firstMs = from.varint();
    return readPredicted(from, count).map((sinceMs) => firstMs + sinceMs);
  }
  expect(kind === stampKinds.regular);
  const atMs = new Float64Array(count);
  let at = from.varint();
  const intervalMs = from.signed();
  let exceptions = from.varint();
  let next = exceptions > 0 ? from.varint() : count;
  atMs[0] = at;
  for (let index = 1; index < count; index++) {
    at += intervalMs;
    if (index === next) {
      at += from.signed();
      exceptions -= 1;
      next = exceptions > 0 ? next + from.varint() : count;
    }
    atMs[index] = at;
  }
  return atMs;
}

function readValues(from: Bytes, count: number): Float64Array {
  switch (from.byte()) {
    case valueKinds.grid: {
      const scale = from.varint();
      expect(scale > 0);
      const tempC = readPredicted(from, count);
      for (let index = 0; index < count; index++) tempC[index] = (tempC[index] as number) / scale;
      return tempC;
    }
    case valueKinds.table: {
      const table = from.doubles(from.varint());
      const places = readPredicted(from, count);
      for (let index = 0; index < count; index++) {
        const place = places[index] as number;
        expect(place >= 0 && place < table.length);
        places[index] = table[place] as number;
      }
      return places;
    }
    case valueKinds.plain:
      return from.doubles(count);
    default:
      throw new RangeError('unknown kind of values');
  }
}

/** Reads a series of whole numbers, each told as what the predictor missed; one loop, since it is the hot one. */
function readPredicted(from: Bytes, count: number): Float64Array {
  const first = from.signed();
  const slope = from.signed();
  const levelGain = from.varint();
  const slopeGain = from.varint();
  const coded = from.part(from.varint());
  const codedEnd = coded.length;
  const out = new Float64Array(count);
  const states = newStates();
  let range = 0x7fffffff;
  let code = 0;
  let at = 0;
  for (; at < 4; at++) code = (code << 8) | (at < codedEnd ? (coded[at] as number) : 0);
  let level = first * stepParts;
  let lean = slope;
  let busy = 0;
  out[0] = first;
  for (let index = 1; index < count; index++) {
    const predicted = level + lean;
    const nearest = Math.floor((predicted + stepParts / 2) * perPart);
    const beyond = predicted - nearest * stepParts;
    const part = (beyond < 0 ? -beyond : beyond) >> 11;
    const place = busy * 17 + part;
    let context: number = contexts.zero + place;
    let stage: number = stages.zero;
    let isTowards = 0;
    let size = 0;
    let exponent = 0;
    let mantissa = 0;
    for (;;) {
      // One decision: how likely the state of its context holds a 1, then what it learns.
      const state = states[context] as number;
      const bound = Math.imul(range >>> 12, (state >>> 18) | 1);
      let bit = 0;
      if (code < bound) {
        range = bound;
        states[context] =
          state +
          (Math.imul((0x3fffff - (state >>> 8)) >> 6, rates[state & 255] as number) & ~255) +
          ((state & 255) < 255 ? 1 : 0);
        bit = 1;
      } else {
        code -= bound;
        range -= bound;
        states[context] =
          state -
          (Math.imul((state >>> 8) >> 6, rates[state & 255] as number) & ~255) +
          ((state & 255) < 255 ? 1 : 0);
      }
      while (range < 0x800000) {
        range <<= 8;
        code = (code << 8) | (at < codedEnd ? (coded[at] as number) : 0);
        at += 1;
      }
      if (stage === stages.zero) {
        if (bit === 1) break;
        stage = stages.side;
        context = contexts.side + place;
      } else if (stage === stages.side) {
        isTowards = bit;
        size = 1;
        stage = stages.more;
        context = moreContext(busy, isTowards, part);
      } else if (stage === stages.more) {
        if (bit === 0) break;
        size += 1;
        context += 1;
        if (size > unaryMax) {
          stage = stages.exponent;
          context = contexts.exponent;
        }
      } else if (stage === stages.exponent) {
        if (bit === 1) {
          exponent += 1;
          context += 1;
          if (exponent > exponentMax) throw new RangeError('exponent');
        } else {
          mantissa = 1;
          stage = stages.mantissa;
        }
      }
      if (stage === stages.mantissa) {
        if (context >= contexts.mantissa) mantissa = mantissa * 2 + bit;
        if (exponent === 0) {
          size += mantissa - 1;
          break;
        }
        exponent -= 1;
        context = contexts.mantissa + exponent;
      }
    }
    const missed = (isTowards === 1) === beyond >= 0 ? size : -size;
    const value = nearest + missed;
    out[index] = value;
    if (size > missMax) {
      level = value * stepParts;
      lean = slope;
    } else {
      const error = value * stepParts - predicted;
      level = predicted + Math.floor(error * levelGain * perGain);
      lean += Math.floor(error * slopeGain * perPart);
    }
    busy = busyAfter(busy, size);
  }
  return out;
}

/** Powers of two, by which to multiply is exact and quicker than to divide by their counterparts. */
const perPart = 1 / stepParts;
const perGain = 1 / 256;

const stages = { zero: 0, side: 1, more: 2, exponent: 3, mantissa: 4 } as const;
export const exponentMax = 48;

/** The first context of a miss's further sizes. */
export function moreContext(busy: number, isTowards: number, part: number): number {
  return contexts.more + (busy * 4 + isTowards * 2 + (part >> 3 > 0 ? 1 : 0)) * unaryMax;
}

/** How busy the signal is after a miss of a size: 0, 1 or 2. */
export function busyAfter(busy: number, size: number): number {
  return size > 2 ? 2 : size > 1 ? 1 : busy === 2 && size > 0 ? 1 : size === 0 ? 0 : busy;
}

/** States begin at one half, nothing learned: the likelihood of a 1 in 22 bits, then how often it was asked in 8. */
export function newStates(): Int32Array {
  return new Int32Array(contexts.size).fill(0x200000 << 8);
}

/** How much of the way to a decision its state goes, by how often it was asked; in parts of 2^14. */
export const rates = Int32Array.from({ length: 256 }, (_, asked) => Math.floor(16_384 / (asked + 1.6)));

type Bytes = {
  byte(): number;
  /** An unsigned whole number up to 2^53, seven bits a byte, the least first. */
  varint(): number;
  /** A whole number with its sign in the last bit. */
  signed(): number;
  doubles(count: number): Float64Array;
  part(length: number): Uint8Array;
};

function openBytes(bytes: Uint8Array): Bytes {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let at = 0;
  const byte = (): number => view.getUint8(at++);
  const varint = (): number => {
    let value = 0;
    for (let unit = 1; ; unit *= 128) {
      const next = byte();
      value += (next & 127) * unit;
      if (next < 128) {
        expect(Number.isSafeInteger(value));
        return value;
      }
      expect(unit < 2 ** 49);
    }
  };
  const signed = (): number => {
    const value = varint();
    return value % 2 === 0 ? value / 2 : -(value + 1) / 2;
  };
  return {
    byte,
    varint,
    signed,
    doubles: (count) => {
      expect(at + count * 8 <= bytes.length);
      const values = new Float64Array(count);
      for (let index = 0; index < count; index++, at += 8) values[index] = view.getFloat64(at, true);
      return values;
    },
    part: (length) => {
      expect(at + length <= bytes.length);
      at += length;
      return bytes.subarray(at - length, at);
    },
  };
}

function expect(holds: boolean): void {
  if (!holds) throw new RangeError('the block breaks its format');
}
