/** Readings of a probe in a fridge, made from a seed, and the entropy below which no coder can keep them. */
import { openRandom } from '../../../probes/simulated/random.ts';

export type SignalOptions = {
  seed: number;
  /** The steps that the probe tells, °C. */
  stepC: number;
  /** The deviation of its noise, °C. */
  noiseC: number;
  /** The deviation of its stamps from whole seconds, ms; 0 for exact ones. */
  jitterMs: number;
};

export type Signal = {
  /** The next reading: its stamp, epoch ms, and °C on the probe's steps. */
  next(): { atMs: number; tempC: number };
  /** The entropy of the values so far in bytes a reading, where the level without noise were known. */
  valueEntropy(): number;
};

export const signalStartMs = Date.UTC(2025, 0, 1);

/** Entropies are reckoned of every so many readings. */
const reckonedEach = 61;

/** Opens a signal at one reading a second: cycles of a compressor, the day, a slow drift, and noise. */
export function openSignal({ seed, stepC, noiseC, jitterMs }: SignalOptions): Signal {
  const random = openRandom(seed, `signal ${stepC} ${noiseC} ${jitterMs}`);
  const perC = Math.round(1 / stepC);
  let second = 0;
  let drift = 0;
  let cycle = 0;
  let bits = 0;
  let reckoned = 0;
  let lastMs = 0;
  return {
    next: () => {
      // Cycles of about forty minutes, none as long as the one before.
      if (second % 60 === 0) drift += 0.004 * random.gaussian() - 0.0005 * drift;
      cycle += (2 * Math.PI) / (2_400 + 400 * Math.sin(second / 20_000));
      const level = 3.2 + drift + 0.55 * Math.sin(cycle) + 0.25 * Math.sin((2 * Math.PI * second) / 86_400);
      if (second % reckonedEach === 0) {
        bits += roundedBits(level / stepC, noiseC / stepC);
        reckoned += 1;
      }
      const tempC = Math.round((level + noiseC * random.gaussian()) * perC) / perC;
      const off = jitterMs === 0 ? 0 : Math.round(jitterMs * random.gaussian());
      const atMs = Math.max(lastMs + 1, signalStartMs + second * 1_000 + off);
      second += 1;
      lastMs = atMs;
      return { atMs, tempC };
    },
    valueEntropy: () => bits / reckoned / 8,
  };
}

/** The entropy of stamps whose deviation from a known grid is normal and rounded to whole ms, bytes a reading. */
export function stampEntropy(jitterMs: number): number {
  return jitterMs === 0 ? 0 : roundedBits(0, jitterMs) / 8;
}

/** The entropy in bits of a normal number of this mean and deviation, rounded to whole numbers (Shannon 1948). */
function roundedBits(mean: number, deviation: number): number {
  const nearest = Math.round(mean);
  const reach = Math.ceil(6 * deviation) + 1;
  let bits = 0;
  for (let whole = nearest - reach; whole <= nearest + reach; whole++) {
    const share =
      normalShare((whole + 0.5 - mean) / deviation) - normalShare((whole - 0.5 - mean) / deviation);
    if (share > 1e-12) bits -= share * Math.log2(share);
  }
  return bits;
}

/** The share of a normal distribution below `z`: Abramowitz & Stegun 1964, 26.2.17, to 7.5e-8. */
function normalShare(z: number): number {
  const t = 1 / (1 + 0.2316419 * Math.abs(z));
  const poly =
    t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  const upper = (Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI)) * poly;
  return z >= 0 ? 1 - upper : upper;
}
