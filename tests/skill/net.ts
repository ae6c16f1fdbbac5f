/** A small network and its training by Adam (Kingma & Ba 2015), with nothing but arithmetic. */
import type { NetWeights } from '../../daemon/forecast/learned-correction.ts';
import { type Dice, openDice } from './dice.ts';
import { horizonCount as horizons } from './row.ts';

/**
 * Rows to learn from: features; at each horizon the pool's log-odds, the logarithm of its part of the reach,
 * and what came true (NaN: not known).
 */
export type Lesson = {
  features: Float32Array;
  featureCount: number;
  odds: Float32Array;
  logParts: Float32Array;
  truths: Float32Array;
  count: number;
};

const sizes = { hidden: 40, inner: 20, out: 4 } as const;
/** The deadline's own horizon, the first, counts one, each other one less. */
const otherWeight = 0.25;
const batch = 256;
const decay = 1e-5;
const featureNoise = 0.03;

/** Trains a network; the same lesson, seed and passes give the same weights. */
export function trainNet(
  lesson: Lesson,
  of: { seed: number; passes: number; tell(line: string): void },
): NetWeights {
  const dice = openDice(of.seed, 1);
  const net = openNet(lesson.featureCount, dice);
  const order = Uint32Array.from({ length: lesson.count }, (_, place) => place);
  const steps = Math.floor(lesson.count / batch) * of.passes;
  let step = 0;
  for (let pass = 0; pass < of.passes; pass++) {
    shuffle(order, dice);
    let loss = 0;
    for (let from = 0; from + batch <= lesson.count; from += batch) {
      net.gradient.fill(0);
      for (let place = from; place < from + batch; place++) {
        loss += learnRow(net, lesson, order[place] as number, dice);
      }
      step++;
      descend(net, step, 2e-3 * 0.5 * (1 + Math.cos((Math.PI * step) / steps)) + 2e-5);
    }
    of.tell(`pass ${pass + 1}: loss ${(loss / lesson.count).toFixed(5)}`);
  }
  return weightsOf(net);
}

type Net = {
  inputs: number;
  /** All weights in one array: hidden rows, inner rows, output rows, each with its bias last. */
  weights: Float64Array;
  gradient: Float64Array;
  momentum: Float64Array;
  square: Float64Array;
  input: Float64Array;
  hidden: Float64Array;
  inner: Float64Array;
  hiddenPull: Float64Array;
};

function openNet(inputs: number, dice: Dice): Net {
  const count =
    sizes.hidden * (inputs + 1) + sizes.inner * (sizes.hidden + 1) + sizes.out * (sizes.inner + 1);
  const weights = new Float64Array(count);
  const innerFrom = sizes.hidden * (inputs + 1);
  const outFrom = innerFrom + sizes.inner * (sizes.hidden + 1);
  for (let place = 0; place < innerFrom; place++) weights[place] = dice.normal() / Math.sqrt(inputs + 1);
  for (let place = innerFrom; place < outFrom; place++) {
    weights[place] = dice.normal() / Math.sqrt(sizes.hidden + 1);
  }
  weights[count - 1] = -2;
  return {
    inputs,
    weights,
    gradient: new Float64Array(count),
    momentum: new Float64Array(count),
    square: new Float64Array(count),
    input: new Float64Array(inputs),
    hidden: new Float64Array(sizes.hidden),
    inner: new Float64Array(sizes.inner),
    hiddenPull: new Float64Array(sizes.hidden),
  };
}

type Four = [number, number, number, number];

function forward(net: Net): Four {
  const { weights, inputs, input, hidden, inner } = net;
  let at = 0;
  for (let unit = 0; unit < sizes.hidden; unit++) {
    let sum = 0;
    for (let place = 0; place < inputs; place++) sum += (weights[at++] as number) * (input[place] as number);
    hidden[unit] = Math.tanh(sum + (weights[at++] as number));
  }
  for (let unit = 0; unit < sizes.inner; unit++) {
    let sum = 0;
    for (let place = 0; place < sizes.hidden; place++)
      sum += (weights[at++] as number) * (hidden[place] as number);
    inner[unit] = Math.tanh(sum + (weights[at++] as number));
  }
  const out: Four = [0, 0, 0, 0];
  for (let unit = 0; unit < sizes.out; unit++) {
    let sum = 0;
    for (let place = 0; place < sizes.inner; place++)
      sum += (weights[at++] as number) * (inner[place] as number);
    out[unit] = sum + (weights[at++] as number);
  }
  return out;
}

/** Adds one row's gradient and returns its loss: cross entropy over the horizons. */
function learnRow(net: Net, lesson: Lesson, row: number, dice: Dice): number {
  for (let place = 0; place < net.inputs; place++) {
    const noise = featureNoise * (dice.share() + dice.share() - 1) * 2.4;
    net.input[place] = (lesson.features[row * net.inputs + place] as number) + noise;
  }
  const [shift, logScaleLow, logScaleHigh, rawTilt] = forward(net);
  const scales = [Math.exp(logScaleLow), Math.exp(logScaleHigh)] as const;
  const tilt = Math.log1p(Math.exp(rawTilt));
  const tiltSlope = 1 / (1 + Math.exp(-rawTilt));
  let loss = 0;
  const pull: Four = [0, 0, 0, 0];
  for (let horizon = 0; horizon < horizons; horizon++) {
    const truth = lesson.truths[row * horizons + horizon] as number;
    if (Number.isNaN(truth)) continue;
    const weight = horizon === 0 ? 1 : otherWeight;
    const odds = lesson.odds[row * horizons + horizon] as number;
    const logPart = lesson.logParts[row * horizons + horizon] as number;
    const side = odds < 0 ? 0 : 1;
    const bent = Math.max(-30, Math.min(30, shift + scales[side] * odds + tilt * logPart));
    const share = 1 / (1 + Math.exp(-bent));
    loss -= weight * Math.log(Math.max(1e-9, truth > 0.5 ? share : 1 - share));
    const off = weight * (share - truth);
    pull[0] += off;
    pull[side + 1] = (pull[side + 1] as number) + off * odds * scales[side];
    pull[3] += off * logPart * tiltSlope;
  }
  backward(net, pull);
  return loss;
}

function backward(net: Net, pull: Readonly<Four>): void {
  const { weights, gradient, inputs, input, hidden, inner, hiddenPull } = net;
  const innerFrom = sizes.hidden * (inputs + 1);
  const outFrom = innerFrom + sizes.inner * (sizes.hidden + 1);
  hiddenPull.fill(0);
  for (let unit = 0; unit < sizes.inner; unit++) {
    let sum = 0;
    for (let out = 0; out < sizes.out; out++) {
      const at = outFrom + out * (sizes.inner + 1) + unit;
      sum += (pull[out] as number) * (weights[at] as number);
      gradient[at] = (gradient[at] as number) + (pull[out] as number) * (inner[unit] as number);
    }
    const own = sum * (1 - (inner[unit] as number) ** 2);
    const from = innerFrom + unit * (sizes.hidden + 1);
    for (let place = 0; place < sizes.hidden; place++) {
      hiddenPull[place] = (hiddenPull[place] as number) + own * (weights[from + place] as number);
      gradient[from + place] = (gradient[from + place] as number) + own * (hidden[place] as number);
    }
    gradient[from + sizes.hidden] = (gradient[from + sizes.hidden] as number) + own;
  }
  for (let out = 0; out < sizes.out; out++) {
    const at = outFrom + out * (sizes.inner + 1) + sizes.inner;
    gradient[at] = (gradient[at] as number) + (pull[out] as number);
  }
  for (let unit = 0; unit < sizes.hidden; unit++) {
    const own = (hiddenPull[unit] as number) * (1 - (hidden[unit] as number) ** 2);
    const from = unit * (inputs + 1);
    for (let place = 0; place < inputs; place++) {
      gradient[from + place] = (gradient[from + place] as number) + own * (input[place] as number);
    }
    gradient[from + inputs] = (gradient[from + inputs] as number) + own;
  }
}

function descend(net: Net, step: number, rate: number): void {
  const first = 1 - 0.9 ** step;
  const second = 1 - 0.999 ** step;
  for (let place = 0; place < net.weights.length; place++) {
    const slope = (net.gradient[place] as number) / batch + decay * (net.weights[place] as number);
    const momentum = 0.9 * (net.momentum[place] as number) + 0.1 * slope;
    const square = 0.999 * (net.square[place] as number) + 0.001 * slope * slope;
    net.momentum[place] = momentum;
    net.square[place] = square;
    net.weights[place] =
      (net.weights[place] as number) - (rate * momentum) / first / (Math.sqrt(square / second) + 1e-8);
  }
}

function weightsOf(net: Net): NetWeights {
  let at = 0;
  const rows = (units: number, inputs: number) =>
    Array.from({ length: units }, () =>
      Array.from({ length: inputs + 1 }, () => Number((net.weights[at++] as number).toPrecision(4))),
    );
  return {
    hidden: rows(sizes.hidden, net.inputs),
    inner: rows(sizes.inner, sizes.hidden),
    out: rows(sizes.out, sizes.inner),
  };
}

function shuffle(order: Uint32Array, dice: Dice): void {
  for (let place = order.length - 1; place > 0; place--) {
    const other = Math.floor(dice.share() * (place + 1));
    const kept = order[place] as number;
    order[place] = order[other] as number;
    order[other] = kept;
  }
}
