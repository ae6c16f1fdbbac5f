/**
 * The learned part: a small network that looks at a forecast's features and bends the pool's distribution.
 * It only corrects chance and quantiles; laws, path and rescue stay physics. tests/skill/learn.ts made its
 * weights from the simulated populations.
 */

import { logOdds } from './correction-features.ts';
import { correctionWeights } from './correction-weights.ts';

/**
 * Log-odds F of the pool become shift + scale F + tilt ln(span / reach), with one scale under even odds and
 * one over: monotone in F and in the span.
 */
export type Correction = { shift: number; scaleLow: number; scaleHigh: number; tilt: number };

/** A network of two hidden layers, each row of a layer holding its bias last. */
export type NetWeights = { hidden: number[][]; inner: number[][]; out: number[][] };

/** The correction that changes nothing. */
export const noCorrection: Correction = { shift: 0, scaleLow: 1, scaleHigh: 1, tilt: 0 };

const partLeast = 0.03;
const partMost = 8;

/** Returns the learned correction for these features. */
export function correctionOf(features: readonly number[]): Correction {
  return netOutput(correctionWeights, features);
}

/** Runs a network; its outputs are the shift, the logs of both scales and the tilt before softplus. */
export function netOutput(weights: NetWeights, features: readonly number[]): Correction {
  const hidden = layer(weights.hidden, features).map(Math.tanh);
  const inner = layer(weights.inner, hidden).map(Math.tanh);
  const [shift, low, high, tilt] = layer(weights.out, inner) as [number, number, number, number];
  return { shift, scaleLow: Math.exp(low), scaleHigh: Math.exp(high), tilt: Math.log1p(Math.exp(tilt)) };
}

function layer(rows: readonly number[][], input: readonly number[]): number[] {
  return rows.map((row) => {
    let sum = row[input.length] as number;
    for (let place = 0; place < input.length; place++) {
      sum += (row[place] as number) * (input[place] as number);
    }
    return sum;
  });
}

/** Bends one share of the pool's distribution; `part` is its span over the reach to the deadline. */
export function correctedShare(share: number, part: number, by: Correction): number {
  const odds = logOdds(share);
  const scale = odds < 0 ? by.scaleLow : by.scaleHigh;
  return 1 / (1 + Math.exp(-(by.shift + scale * odds + by.tilt * logPart(part))));
}

/** Returns the pool's share that becomes `share` once it is bent: the inverse of `correctedShare`. */
export function uncorrectedShare(share: number, part: number, by: Correction): number {
  const bent = logOdds(share) - by.shift - by.tilt * logPart(part);
  return 1 / (1 + Math.exp(-bent / (bent < 0 ? by.scaleLow : by.scaleHigh)));
}

/** The logarithm of a span's part of the reach, held within what was learned. */
export function logPart(part: number): number {
  return Math.log(Math.min(partMost, Math.max(partLeast, part)));
}
