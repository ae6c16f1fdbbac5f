import { describe, expect, it } from 'vitest';
import { openRandom, splitMix64, xoshiro128 } from '../../../probes/simulated/random.ts';

const take = <T>(next: () => T, count: number): T[] => Array.from({ length: count }, next);

describe('the generators', () => {
  it('give the words of the reference implementation of xoshiro128++ from the state 1, 2, 3, 4', () => {
    // Vector of the Rust project's rand_xoshiro, made with Blackman & Vigna's C code.
    expect(take(xoshiro128([1, 2, 3, 4]), 10)).toEqual([
      641, 1573767, 3222811527, 3517856514, 836907274, 4247214768, 3867114732, 1355841295, 495546011,
      621204420,
    ]);
  });

  it('give the words of the reference implementation of SplitMix64 from the seed 1234567', () => {
    // Vector in circulation with Vigna's C code.
    expect(take(splitMix64(1234567n), 5)).toEqual([
      6457827717110365317n,
      3203168211198807973n,
      9817491932198370423n,
      4593380528125082431n,
      16408922859458223821n,
    ]);
  });
});

describe('a stream', () => {
  it('is the same for the same seed and name, and another for any other', () => {
    const of = (seed: number, name: string) => take(openRandom(seed, name).uniform, 20);
    expect(of(7, 'jar-1')).toEqual(of(7, 'jar-1'));
    expect(of(7, 'jar-2')).not.toEqual(of(7, 'jar-1'));
    expect(of(8, 'jar-1')).not.toEqual(of(7, 'jar-1'));
  });

  it('spreads evenly over [0, 1) and draws normal numbers', () => {
    const random = openRandom(1, 'moments');
    const flat = take(random.uniform, 20_000);
    expect(Math.min(...flat)).toBeGreaterThanOrEqual(0);
    expect(Math.max(...flat)).toBeLessThan(1);
    expect(mean(flat)).toBeCloseTo(0.5, 2);
    const normal = take(random.gaussian, 20_000);
    expect(mean(normal)).toBeCloseTo(0, 1);
    expect(mean(normal.map((x) => x * x))).toBeCloseTo(1, 1);
    // Of a normal distribution 4.55 % lie beyond two deviations.
    expect(normal.filter((x) => Math.abs(x) > 2).length / normal.length).toBeCloseTo(0.0455, 2);
  });
});

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
