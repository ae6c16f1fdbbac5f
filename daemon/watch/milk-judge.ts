/**
 * Weighs the signs of a probe's last minutes: how likely it is in milk that it came into within the last
 * minutes, and how long ago. A small network, trained on simulated days by
 * tests/skill/everyday/learn.ts; it knows nothing else.
 */
import { judgeWeights } from './judge-weights.ts';

/** Rows of weights, each with its bias last. */
export type JudgeWeights = { hidden: number[][]; inner: number[][]; out: number[][] };

export type Judgment = {
  /** Log-odds that the probe is in fresh milk. */
  odds: number;
  /** If it is: for how long, s. */
  ageS: number;
};

const leak = 0.05;
const hidden = flat(judgeWeights.hidden);
const inner = flat(judgeWeights.inner);
const out = flat(judgeWeights.out);
const hiddenCount = judgeWeights.hidden.length;
const innerCount = judgeWeights.inner.length;
const hiddenUnits = new Float64Array(hiddenCount);
const innerUnits = new Float64Array(innerCount);
const outUnits = new Float64Array(2);

/** Judges `signCount` signs; a few thousand multiplications, always as many. */
export function judgeSigns(signs: Float64Array): Judgment {
  layer(hidden, signs, hiddenUnits, leak);
  layer(inner, hiddenUnits, innerUnits, leak);
  layer(out, innerUnits, outUnits, 1);
  return {
    odds: outUnits[0] as number,
    ageS: Math.max(0, 100 * (outUnits[1] as number)),
  };
}

function layer(weights: Float64Array, from: Float64Array, to: Float64Array, below: number): void {
  let at = 0;
  for (let unit = 0; unit < to.length; unit += 1) {
    let sum = 0;
    for (let place = 0; place < from.length; place += 1) {
      sum += (weights[at] as number) * (from[place] as number);
      at += 1;
    }
    sum += weights[at] as number;
    at += 1;
    to[unit] = sum > 0 ? sum : below * sum;
  }
}

function flat(rows: number[][]): Float64Array {
  return Float64Array.from(rows.flat());
}
