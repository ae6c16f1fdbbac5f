/** Seeded randomness for the simulated probes: the same seed gives the same numbers on every machine. */

export type Random = {
  /** Returns the next number in [0, 1), a multiple of 2^-32. */
  uniform(): number;
  /** Returns the next number of the normal distribution with mean 0 and deviation 1. */
  gaussian(): number;
};

/** Four 32-bit words, not all zero. */
export type RandomState = readonly [number, number, number, number];

/**
 * Returns the next-word function of xoshiro128++ 1.0 (Blackman & Vigna, "Scrambled linear pseudorandom
 * number generators", ACM TOMS 47:36, 2021): unsigned 32-bit integers, period 2^128 - 1.
 */
export function xoshiro128(state: RandomState): () => number {
  let [a, b, c, d] = state;
  return () => {
    const word = (rotateLeft(a + d, 7) + a) >>> 0;
    const t = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= t;
    d = rotateLeft(d, 11);
    return word;
  };
}

/**
 * Returns the next-word function of SplitMix64 (Steele, Lea & Flood, OOPSLA 2014): unsigned 64-bit
 * integers. Its authors' use for it here is to spread a small seed over the state of a larger generator.
 */
export function splitMix64(seed: bigint): () => bigint {
  let state = BigInt.asUintN(64, seed);
  return () => {
    state = BigInt.asUintN(64, state + 0x9e3779b97f4a7c15n);
    let z = state;
    z = BigInt.asUintN(64, (z ^ (z >> 30n)) * 0xbf58476d1ce4e5b9n);
    z = BigInt.asUintN(64, (z ^ (z >> 27n)) * 0x94d049bb133111ebn);
    return z ^ (z >> 31n);
  };
}

/** Opens a stream of its own for each pair of a whole-number seed and a name, so that one probe more changes no other. */
export function openRandom(seed: number, name: string): Random {
  const spread = splitMix64(BigInt(seed) ^ nameHash(name));
  const [first, second] = [spread(), spread()];
  const next = xoshiro128([low(first), high(first), low(second), high(second)]);
  const uniform = () => next() / 2 ** 32;
  return { uniform, gaussian: gaussianFrom(uniform) };
}

/** Box & Muller 1958, in pairs. */
function gaussianFrom(uniform: () => number): () => number {
  let spare: number | null = null;
  return () => {
    if (spare !== null) {
      const kept = spare;
      spare = null;
      return kept;
    }
    const radius = Math.sqrt(-2 * Math.log(1 - uniform()));
    const angle = 2 * Math.PI * uniform();
    spare = radius * Math.sin(angle);
    return radius * Math.cos(angle);
  };
}

/** FNV-1a, 64 bits (RFC 9923). */
function nameHash(name: string): bigint {
  let hash = 0xcbf29ce484222325n;
  for (const char of name) {
    hash = BigInt.asUintN(64, (hash ^ BigInt(char.codePointAt(0) ?? 0)) * 0x100000001b3n);
  }
  return hash;
}

function rotateLeft(word: number, by: number): number {
  return (word << by) | (word >>> (32 - by));
}

function low(word: bigint): number {
  return Number(word & 0xffffffffn);
}

function high(word: bigint): number {
  return Number(word >> 32n);
}
