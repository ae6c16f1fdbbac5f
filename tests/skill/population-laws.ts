/**
 * Population 3, made-up laws: no vessel and no heat balance, only a wide family of smooth curves with drifts,
 * cycles, steps and shakes. It is for learning, so that what is learned leans on no one structure.
 */
import type { Dice } from './dice.ts';
import { type Followed, type JarTruth, type Scene, truthMin, truthStepS } from './jar.ts';

const sceneWeights: Readonly<Record<Scene, number>> = {
  ice: 0.38,
  'moving air': 0.26,
  'still freezer': 0.14,
  fridge: 0.09,
  'cold water': 0.08,
  cellar: 0.05,
};

/** Surroundings from-to in °C, and the rate at 25 K for a litre from-to, 1/min. */
const ranges: Readonly<Record<Scene, { aroundC: [number, number]; perMin: [number, number] }>> = {
  ice: { aroundC: [-1.5, 4], perMin: [0.02, 0.22] },
  'moving air': { aroundC: [-30, -6], perMin: [0.011, 0.05] },
  'still freezer': { aroundC: [-25, -6], perMin: [0.005, 0.017] },
  fridge: { aroundC: [-1, 8], perMin: [0.004, 0.02] },
  'cold water': { aroundC: [2.5, 16], perMin: [0.02, 0.2] },
  cellar: { aroundC: [5, 16], perMin: [0.004, 0.015] },
};

type Stay = { aroundC: number; perMin: number; power: number; drift: (sinceMin: number) => number };

/** Draws one jar and follows it for four hours. */
export function drawLawJar(dice: Dice): JarTruth {
  const scene = dice.pick(sceneWeights);
  const volumeL = dice.logBetween(0.2, 4);
  const roomC = dice.happens(0.6) ? dice.between(12, 28) : dice.between(28, 36);
  const moved = dice.happens(0.05);
  const benchMin = dice.happens(0.3) ? 0 : dice.between(0, 12) * dice.share();
  const stays = [{ fromMin: benchMin, stay: drawStay(scene, volumeL, dice) }];
  if (moved) {
    const next = dice.pick({ ...sceneWeights, fridge: 0.2 });
    stays.push({ fromMin: benchMin + dice.between(5, 40), stay: drawStay(next, volumeL, dice) });
  }
  const { milkC, aroundC } = follow(stays, roomC, dice);
  const material = dice.happens(0.6) ? 'glass' : 'steel';
  return { scene, volumeL, material, roomC, moved, milkC, aroundC };
}

function drawStay(scene: Scene, volumeL: number, dice: Dice): Stay {
  const { aroundC, perMin } = ranges[scene];
  const bySize = volumeL ** -dice.between(0.2, 0.55);
  return {
    aroundC: dice.between(...aroundC),
    perMin: dice.logBetween(...perMin) * bySize,
    power: dice.happens(0.25) ? 1 : dice.between(1, 1.5),
    drift: drawDrift(scene, dice),
  };
}

/** Surroundings that change: warm at first, a cycle, a step, a slow ramp, ice that runs out. */
function drawDrift(scene: Scene, dice: Dice): (sinceMin: number) => number {
  const wet = scene === 'ice' || scene === 'cold water';
  const firstC = (wet ? 4 : 7) * dice.share() * dice.share();
  const fadeMin = dice.logBetween(3, 60);
  const cycleC = wet ? 0 : dice.between(0, 3);
  const cycleMin = dice.between(8, 45);
  const phase = dice.share();
  const stepMin = dice.happens(0.15) ? dice.between(3, 60) : Number.POSITIVE_INFINITY;
  const stepC = wet ? dice.between(-3, 3) : dice.between(-3, 6);
  const emptyMin = scene === 'ice' && dice.happens(0.25) ? dice.logBetween(6, 120) : Number.POSITIVE_INFINITY;
  const warmingPerMin = dice.logBetween(0.03, 0.4);
  return (sinceMin) =>
    firstC * Math.exp(-sinceMin / fadeMin) +
    cycleC * Math.sin(2 * Math.PI * (sinceMin / cycleMin + phase)) +
    (sinceMin > stepMin ? stepC * Math.exp((stepMin - sinceMin) / 25) : 0) +
    12 * (1 - Math.exp((-warmingPerMin * Math.max(0, sinceMin - emptyMin)) / 12));
}

function follow(stays: readonly { fromMin: number; stay: Stay }[], roomC: number, dice: Dice): Followed {
  const startC = dice.between(30, 38);
  const benchPerMin = dice.logBetween(0.002, 0.012);
  const shellMin = dice.happens(0.5) ? dice.logBetween(0.3, 12) : 0.05;
  const layerC = dice.happens(0.4) ? dice.between(-0.12, 0.12) : 0;
  const shakeMin = dice.happens(0.12) ? dice.between(3, 50) : Number.POSITIVE_INFINITY;
  const steps = (truthMin * 60) / truthStepS;
  const stepMin = truthStepS / 60;
  const milkC = new Float64Array(steps + 1);
  const around = new Float64Array(steps + 1);
  let bulkC = startC;
  let coreC = startC;
  let aroundC = roomC;
  for (let step = 0; step <= steps; step++) {
    const atMin = step * stepMin;
    const layered = atMin >= shakeMin ? 0 : layerC;
    milkC[step] = coreC + layered * (coreC - aroundC) * Math.min(1, (startC - bulkC) / 4);
    const current = stays.findLast(({ fromMin }) => atMin >= fromMin);
    if (current === undefined) {
      bulkC += benchPerMin * (roomC - bulkC) * stepMin;
    } else {
      const { stay, fromMin } = current;
      aroundC = stay.aroundC + stay.drift(atMin - fromMin);
      const overK = bulkC - aroundC;
      const rate = stay.perMin * (Math.max(0.01, Math.abs(overK)) / 25) ** (stay.power - 1);
      bulkC -= overK * (1 - Math.exp(-rate * stepMin));
    }
    around[step] = aroundC;
    coreC += (bulkC - coreC) * (1 - Math.exp(-stepMin / (atMin >= shakeMin ? 0.05 : shellMin)));
  }
  return { milkC, aroundC: around };
}
