/** From the pool to quantiles: when the milk gets to a temperature, and how warm it is at an instant. */
import { type CoolingLaw, minutesTo } from './cooling-law.ts';
import type { PoolMember } from './model-pool.ts';

/** Draws that stand for the pool in paths and quantiles. */
export const poolDraws = 96;

/** The chance that the milk falls from `nowC` to `toC` within `spanMin`, from all members. */
export function chanceWithin(
  pool: readonly PoolMember[],
  from: { nowC: number; toC: number; spanMin: number },
): number {
  if (from.nowC <= from.toC) return 1;
  if (from.spanMin <= 0) return 0;
  let chance = 0;
  for (const { law, weight, logSd } of pool) {
    const span = minutesTo(law, from.nowC, from.toC);
    if (span === Number.POSITIVE_INFINITY) continue;
    chance += weight * normalShare(Math.log(from.spanMin / span) / logSd);
  }
  return Math.min(1, Math.max(0, chance));
}

/** Equally likely laws drawn evenly from the pool: the same pool gives the same draws. */
export function drawLaws(pool: readonly PoolMember[]): CoolingLaw[] {
  const laws: CoolingLaw[] = [];
  let place = 0;
  let reached = pool[0]?.weight ?? 0;
  for (let draw = 0; draw < poolDraws; draw++) {
    while (reached < (draw + 0.5) / poolDraws && place + 1 < pool.length) {
      place++;
      reached += (pool[place] as PoolMember).weight;
    }
    const member = pool[place];
    if (member === undefined) break;
    const z = normalQuantile(mirrored(draw + 1));
    laws.push({ ...member.law, perMin: member.law.perMin * Math.exp(member.logSd * z) });
  }
  return laws;
}

/** Minutes in which the middle one of these laws gets from `fromC` to `toC`; Infinity where it never does. */
export function middleMin(laws: readonly CoolingLaw[], fromC: number, toC: number): number {
  const minutes = Float64Array.from(laws, (law) => minutesTo(law, fromC, toC)).sort();
  return minutes[minutes.length >> 1] ?? Number.POSITIVE_INFINITY;
}

/** Returns the value below which `share` of the sorted values lies, between neighbours. */
export function quantile(sorted: ArrayLike<number>, share: number): number {
  const place = Math.min(sorted.length - 1, Math.max(0, share * sorted.length - 0.5));
  const low = Math.floor(place);
  const lower = sorted[low] as number;
  const upper = sorted[Math.min(sorted.length - 1, low + 1)] as number;
  return lower === upper || place === low ? lower : lower + (place - low) * (upper - lower);
}

/**
 * Returns the value below which `share` of the sorted values lies, after `bend` has moved each value's own
 * share; `bend` keeps their order. Infinity where the share lies among values that are infinite.
 */
export function bentQuantile(
  sorted: ArrayLike<number>,
  share: number,
  bend: (share: number, value: number) => number,
): number {
  const bent = (place: number) => bend((place + 0.5) / sorted.length, sorted[place] as number);
  let under = -1;
  let over = sorted.length;
  while (over - under > 1) {
    const middle = (under + over) >> 1;
    if (bent(middle) >= share) over = middle;
    else under = middle;
  }
  const upper = sorted[Math.min(over, sorted.length - 1)] ?? Number.POSITIVE_INFINITY;
  const lower = sorted[under] ?? upper;
  if (lower === upper || over === sorted.length || upper === Number.POSITIVE_INFINITY) return upper;
  const lowerShare = bent(under);
  return lower + ((upper - lower) * (share - lowerShare)) / (bent(over) - lowerShare);
}

/** The standard normal distribution function (Abramowitz & Stegun 26.2.17, error below 7.5e-8). */
export function normalShare(z: number): number {
  if (z > 8) return 1;
  if (z < -8) return 0;
  const t = 1 / (1 + 0.2316419 * Math.abs(z));
  const tail =
    0.3989422804 *
    Math.exp(-0.5 * z * z) *
    t *
    (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  return z > 0 ? 1 - tail : tail;
}

/** The standard normal quantile (Abramowitz & Stegun 26.2.23, error below 4.5e-4). */
export function normalQuantile(share: number): number {
  const tail = share < 0.5 ? share : 1 - share;
  const t = Math.sqrt(-2 * Math.log(tail));
  const size =
    t - (2.515517 + t * (0.802853 + t * 0.010328)) / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
  return share < 0.5 ? -size : size;
}

/** Van der Corput's sequence: evenly spread shares in an order that mixes. */
function mirrored(count: number): number {
  let share = 0;
  let digit = 0.5;
  for (let rest = count; rest > 0; rest >>= 1) {
    if (rest & 1) share += digit;
    digit /= 2;
  }
  return share;
}
