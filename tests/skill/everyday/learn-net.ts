/** The network of the judge of starts and its training by Adam (Kingma & Ba 2015), with nothing but arithmetic. */
import type { JudgeWeights } from '../../../daemon/watch/milk-judge.ts';
import { type Dice, openDice } from './dice.ts';
import type { StartLesson } from './learn-rows.ts';

/** Units of the two rectified layers, and the outputs: log-odds, age. */
const sizes = { hidden: 64, inner: 32, out: 2 } as const;
const batch = 512;
const leak = 0.05;
const rate = { most: 3e-3, least: 1e-5 } as const;
/** How far off an age may be before it counts by its amount and no longer by its square, in 100 s. */
const bendsAt = 0.15;

type Layer = {
  from: number;
  to: number;
  weights: Float64Array;
  gradient: Float64Array;
  momentum: Float64Array;
  square: Float64Array;
};

/** Trains a network; the same lesson, seed and passes give the same weights. */
export function trainJudge(
  lesson: StartLesson,
  of: { seed: number; passes: number; inputs: number; tell(line: string): void },
): JudgeWeights {
  const dice = openDice(of.seed);
  const layers = [
    openLayer(dice, { from: of.inputs, to: sizes.hidden, gain: 2 }),
    openLayer(dice, { from: sizes.hidden, to: sizes.inner, gain: 2 }),
    openLayer(dice, { from: sizes.inner, to: sizes.out, gain: 1 }),
  ] as const;
  const order = Uint32Array.from({ length: lesson.count }, (_, place) => place);
  const steps = Math.floor(lesson.count / batch) * of.passes;
  const learn = openLearner(lesson, layers);
  let step = 0;
  for (let pass = 0; pass < of.passes; pass += 1) {
    shuffle(order, dice);
    let loss = 0;
    for (let from = 0; from + batch <= lesson.count; from += batch) {
      for (let place = from; place < from + batch; place += 1) loss += learn(order[place] as number);
      step += 1;
      const now = rate.most * 0.5 * (1 + Math.cos((Math.PI * step) / steps)) + rate.least;
      for (const layer of layers) descend(layer, step, now);
    }
    of.tell(`pass ${pass + 1}: loss ${(loss / lesson.count).toFixed(5)}`);
  }
  const [hidden, inner, out] = layers;
  return { hidden: rowsOf(hidden), inner: rowsOf(inner), out: rowsOf(out) };
}

function openLayer(dice: Dice, { from, to, gain }: { from: number; to: number; gain: number }): Layer {
  const count = to * (from + 1);
  const deviation = Math.sqrt(gain / (from + 1));
  const weights = Float64Array.from({ length: count }, (_, place) =>
    place % (from + 1) === from ? 0 : dice.normal(0, deviation),
  );
  const empty = () => new Float64Array(count);
  return { from, to, weights, gradient: empty(), momentum: empty(), square: empty() };
}

/** Returns the learner of one row: it adds the row's gradient to the layers and returns its loss. */
function openLearner(
  lesson: StartLesson,
  [hidden, inner, out]: readonly [Layer, Layer, Layer],
): (row: number) => number {
  const input = new Float64Array(hidden.from);
  const units = {
    hidden: new Float64Array(hidden.to),
    inner: new Float64Array(inner.to),
    out: new Float64Array(out.to),
  };
  const pulls = {
    hidden: new Float64Array(hidden.to),
    inner: new Float64Array(inner.to),
    out: new Float64Array(out.to),
  };
  return (row) => {
    const base = row * hidden.from;
    for (let place = 0; place < input.length; place += 1) input[place] = lesson.signs[base + place] as number;
    forward(hidden, input, units.hidden, leak);
    forward(inner, units.hidden, units.inner, leak);
    forward(out, units.inner, units.out, 1);
    const loss = pullOf(lesson, row, units.out, pulls.out);
    backward(out, units.inner, pulls.out, pulls.inner);
    for (let unit = 0; unit < inner.to; unit += 1)
      if ((units.inner[unit] as number) < 0) pulls.inner[unit] = leak * (pulls.inner[unit] as number);
    backward(inner, units.hidden, pulls.inner, pulls.hidden);
    for (let unit = 0; unit < hidden.to; unit += 1)
      if ((units.hidden[unit] as number) < 0) pulls.hidden[unit] = leak * (pulls.hidden[unit] as number);
    backward(hidden, input, pulls.hidden, null);
    return loss;
  };
}

/** Cross entropy of the odds, and of milk the error of its age. */
function pullOf(lesson: StartLesson, row: number, out: Float64Array, pull: Float64Array): number {
  const truth = lesson.truths[row] as number;
  const weight = lesson.weights[row] as number;
  const share = 1 / (1 + Math.exp(-(out[0] as number)));
  pull[0] = weight * (share - truth);
  pull[1] = 0;
  const loss = -weight * Math.log(Math.max(1e-9, truth > 0.5 ? share : 1 - share));
  if (truth < 0.5) return loss;
  const off = (out[1] as number) - (lesson.ages[row] as number) / 100;
  pull[1] = 2 * Math.max(-bendsAt, Math.min(bendsAt, off));
  return loss + (Math.abs(off) < bendsAt ? off * off : bendsAt * (2 * Math.abs(off) - bendsAt));
}

function forward({ from, weights }: Layer, input: Float64Array, units: Float64Array, below: number): void {
  let at = 0;
  for (let unit = 0; unit < units.length; unit += 1) {
    let sum = 0;
    for (let place = 0; place < from; place += 1)
      sum += (weights[at + place] as number) * (input[place] as number);
    sum += weights[at + from] as number;
    at += from + 1;
    units[unit] = sum > 0 ? sum : below * sum;
  }
}

function backward(
  { from, weights, gradient }: Layer,
  input: Float64Array,
  pull: Float64Array,
  passed: Float64Array | null,
): void {
  passed?.fill(0);
  let at = 0;
  for (let unit = 0; unit < pull.length; unit += 1, at += from + 1) {
    const own = pull[unit] as number;
    if (own === 0) continue;
    for (let place = 0; place < from; place += 1)
      gradient[at + place] = (gradient[at + place] as number) + own * (input[place] as number);
    gradient[at + from] = (gradient[at + from] as number) + own;
    if (passed === null) continue;
    for (let place = 0; place < from; place += 1)
      passed[place] = (passed[place] as number) + own * (weights[at + place] as number);
  }
}

function descend({ weights, gradient, momentum, square }: Layer, step: number, now: number): void {
  const first = 1 - 0.9 ** step;
  const second = 1 - 0.999 ** step;
  for (let place = 0; place < weights.length; place += 1) {
    const slope = (gradient[place] as number) / batch;
    const mean = 0.9 * (momentum[place] as number) + 0.1 * slope;
    const spread = 0.999 * (square[place] as number) + 0.001 * slope * slope;
    momentum[place] = mean;
    square[place] = spread;
    weights[place] = (weights[place] as number) - (now * mean) / first / (Math.sqrt(spread / second) + 1e-8);
  }
  gradient.fill(0);
}

function rowsOf({ from, to, weights }: Layer): number[][] {
  return Array.from({ length: to }, (_, unit) =>
    Array.from(weights.subarray(unit * (from + 1), (unit + 1) * (from + 1)), (weight) =>
      Number(weight.toPrecision(4)),
    ),
  );
}

function shuffle(order: Uint32Array, dice: Dice): void {
  for (let place = order.length - 1; place > 0; place -= 1) {
    const other = Math.floor(dice.next() * (place + 1));
    const kept = order[place] as number;
    order[place] = order[other] as number;
    order[other] = kept;
  }
}
