/**
 * The learned part: a small network that looks at a forecast's features and bends the pool's distribution.
 * It only corrects chance and quantiles; laws, path and rescue stay physics. tests/skill/learn.ts made its
 * weights from the simulated populations.
 */

import { logOdds } from './correction-features.ts';
import { correctionWeights } from './correction-weights.ts';

/** Log-odds F of the pool become shift + scale F + tilt ln(span / reach): monotone in F and in the span. */
export type Correction = { shift: number; scale: number; tilt: number };

/** A network of two hidden layers, each row of a layer holding its bias last. */
export type NetWeights = { hidden: number[][]; inner: number[][]; out: number[][] };

/** The correction that changes nothing. */
export const noCorrection: Correction = { shift: 0, scale: 1, tilt: 0 };

const partLeast = 0.08;
const partMost = 8;

/** Returns the learned correction for these features. */
export function correctionOf(features: readonly number[]): Correction {
  return netOutput(correctionWeights, features);
}

/** Runs a network; its three outputs are the shift, the log of the scale and the tilt before softplus. */
export function netOutput(weights: NetWeights, features: readonly number[]): Correction {
  const hidden = layer(weights.hidden, features).map(Math.tanh);
  const inner = layer(weights.inner, hidden).map(Math.tanh);
  const [shift, logScale, tilt] = layer(weights.out, inner) as [number, number, number];
  return { shift, scale: Math.exp(logScale), tilt: Math.log1p(Math.exp(tilt)) };
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
  return 1 / (1 + Math.exp(-(by.shift + by.scale * logOdds(share) + by.tilt * logPart(part))));
}

/** Returns the pool's share that becomes `share` once it is bent: the inverse of `correctedShare`. */
export function uncorrectedShare(share: number, part: number, by: Correction): number {
  return 1 / (1 + Math.exp(-(logOdds(share) - by.shift - by.tilt * logPart(part)) / by.scale));
}

function logPart(part: number): number {
  return Math.log(Math.min(partMost, Math.max(partLeast, part)));
}
