/** Writes a series of whole numbers as what a predictor misses, through an adaptive binary range coder. */
import {
  busyAfter,
  contexts,
  missMax,
  moreContext,
  newStates,
  type Predictor,
  rates,
  stepParts,
  unaryMax,
} from './block-decoder.ts';
import type { ByteWriter } from './byte-writer.ts';

/** How strongly the predictor follows: its level in parts of 256, its slope in parts of 65,536. */
export type Gains = Pick<Predictor, 'levelGain' | 'slopeGain'>;

const gainsTried: Record<'values' | 'stamps', readonly Gains[]> = {
  values: [
    { levelGain: 8, slopeGain: 4 },
    { levelGain: 12, slopeGain: 16 },
    { levelGain: 20, slopeGain: 32 },
    { levelGain: 20, slopeGain: 200 },
    { levelGain: 32, slopeGain: 100 },
    { levelGain: 48, slopeGain: 400 },
    { levelGain: 80, slopeGain: 1500 },
    { levelGain: 160, slopeGain: 6000 },
    { levelGain: 256, slopeGain: 0 },
    { levelGain: 256, slopeGain: 30_000 },
  ],
  stamps: [
    { levelGain: 0, slopeGain: 0 },
    { levelGain: 1, slopeGain: 0 },
    { levelGain: 4, slopeGain: 1 },
    { levelGain: 32, slopeGain: 100 },
    { levelGain: 256, slopeGain: 0 },
  ],
};

/** Returns the gains that miss least; judged by the logarithm of the misses, as the coder will. */
export function predictedGains(
  numbers: Float64Array,
  { slope, kind }: { slope: number; kind: 'values' | 'stamps' },
): Gains {
  const tried = gainsTried[kind];
  let best = tried[0] as Gains;
  let least = Infinity;
  for (const gains of tried) {
    const cost = missesOf(numbers, { first: numbers[0] as number, slope, ...gains });
    if (cost < least) {
      least = cost;
      best = gains;
    }
  }
  return best;
}

/** Readings over which gains are judged, in the middle of the series. */
const judgedMax = 3000;

function missesOf(numbers: Float64Array, { slope, levelGain, slopeGain }: Predictor): number {
  const from = Math.max(0, (numbers.length - judgedMax) >> 1);
  const to = Math.min(numbers.length, from + judgedMax);
  const a = levelGain / 256;
  const b = slopeGain / stepParts;
  const start = slope / stepParts;
  let level = settledLevel(numbers, { from, to, slope: start });
  let lean = start;
  let product = 1;
  let cost = 0;
  for (let index = from + 1; index < to; index++) {
    const predicted = level + lean;
    const error = (numbers[index] as number) - predicted;
    product *= 0.25 + error * error;
    // Logarithms are dear: one for some dozen misses.
    if (product > 1e200 || product < 1e-200) {
      cost += Math.log(product);
      product = 1;
    }
    if (error > missMax || error < -missMax) {
      level = numbers[index] as number;
      lean = start;
    } else {
      level = predicted + error * a;
      lean += error * b;
    }
  }
  return cost + Math.log(product);
}

/**
 * The level from which gains are judged: a mean, since the coder's contexts soon learn by how much a level
 * that never follows is off.
 */
function settledLevel(
  numbers: Float64Array,
  { from, to, slope }: { from: number; to: number; slope: number },
): number {
  const end = Math.min(to, from + 64);
  let sum = 0;
  for (let index = from; index < end; index++) sum += (numbers[index] as number) - (index - from) * slope;
  return sum / (end - from);
}

/** Writes the predictor, the length of what follows, and the misses. */
export function writePredicted(to: ByteWriter, numbers: Float64Array, predictor: Predictor): void {
  const { first, slope, levelGain, slopeGain } = predictor;
  to.signed(first);
  to.signed(slope);
  to.varint(levelGain);
  to.varint(slopeGain);
  const coded = codeMisses(numbers, predictor);
  to.varint(coded.length);
  to.append(coded);
}

function codeMisses(numbers: Float64Array, { first, slope, levelGain, slopeGain }: Predictor): Uint8Array {
  const coder = openCoder(numbers.length);
  let level = first * stepParts;
  let lean = slope;
  let busy = 0;
  for (let index = 1; index < numbers.length; index++) {
    const value = numbers[index] as number;
    const predicted = level + lean;
    const nearest = Math.floor((predicted + stepParts / 2) / stepParts);
    const beyond = predicted - nearest * stepParts;
    const part = (beyond < 0 ? -beyond : beyond) >> 11;
    const missed = value - nearest;
    const size = missed < 0 ? -missed : missed;
    coder.miss({ busy, part, size, isTowards: missed > 0 === beyond >= 0 ? 1 : 0 });
    if (size > missMax) {
      level = value * stepParts;
      lean = slope;
    } else {
      const error = value * stepParts - predicted;
      level = predicted + Math.floor((error * levelGain) / 256);
      lean += Math.floor((error * slopeGain) / stepParts);
    }
    busy = busyAfter(busy, size);
  }
  return coder.finish();
}

type Miss = { busy: number; part: number; size: number; isTowards: 0 | 1 };

/** A range coder of binary decisions: carries run back into the bytes that are written already. */
function openCoder(room: number): { miss(miss: Miss): void; finish(): Uint8Array } {
  const states = newStates();
  let bytes = new Uint8Array(Math.max(64, room));
  let at = 0;
  let low = 0;
  let range = 0x7fffffff;

  const out = (): void => {
    if (at === bytes.length) {
      const grown = new Uint8Array(bytes.length * 2);
      grown.set(bytes);
      bytes = grown;
    }
    bytes[at++] = low >>> 24;
    low = (low & 0xffffff) * 256;
  };
  const decide = (context: number, bit: 0 | 1): void => {
    const state = states[context] as number;
    const bound = Math.imul(range >>> 12, (state >>> 18) | 1);
    const asked = state & 255;
    const older = asked < 255 ? 1 : 0;
    const rate = rates[asked] as number;
    if (bit === 1) {
      range = bound;
      states[context] = state + (Math.imul((0x3fffff - (state >>> 8)) >> 6, rate) & ~255) + older;
    } else {
      low += bound;
      range -= bound;
      states[context] = state - (Math.imul(state >>> 14, rate) & ~255) + older;
      if (low >= 0x100000000) {
        low -= 0x100000000;
        let back = at - 1;
        while (bytes[back] === 255) bytes[back--] = 0;
        bytes[back] = (bytes[back] as number) + 1;
      }
    }
    while (range < 0x800000) {
      range <<= 8;
      out();
    }
  };
  return {
    miss: ({ busy, part, size, isTowards }) => {
      const place = busy * 17 + part;
      decide(contexts.zero + place, size === 0 ? 1 : 0);
      if (size === 0) return;
      decide(contexts.side + place, isTowards);
      const more = moreContext(busy, isTowards, part);
      for (let told = 1; told <= unaryMax; told++) {
        decide(more + told - 1, size > told ? 1 : 0);
        if (size === told) return;
      }
      const beyond = size - unaryMax;
      const exponent = Math.floor(Math.log2(beyond));
      for (let told = 0; told < exponent; told++) decide(contexts.exponent + told, 1);
      decide(contexts.exponent + exponent, 0);
      for (let place = exponent - 1; place >= 0; place--) {
        decide(contexts.mantissa + place, Math.floor(beyond / 2 ** place) % 2 === 1 ? 1 : 0);
      }
    },
    finish: () => {
      for (let told = 0; told < 4; told++) out();
      return bytes.slice(0, at);
    },
  };
}
