/**
 * Population 1, lumped layers: three layers of milk, each with its own piece of wall, in one lump of air or
 * bath. Cold sinks, warm rises, doors open, ice runs out, jars are shaken; nobody moves.
 */
import type { Dice } from './dice.ts';
import { deadlineMin, type Followed, type JarTruth, type Scene, truthMin, truthStepS } from './jar.ts';
import { type Cold, drawCold, drawOutside, type Outside } from './layered-cold.ts';
import type { Act } from './rescue/act.ts';
import { openActing } from './rescue/acting.ts';
import { openLumpedBath } from './rescue/layered-bath.ts';

const milkJPerM3K = 4.0e6;

const sceneWeights: Readonly<Record<Scene, number>> = {
  ice: 0.41,
  'moving air': 0.27,
  'still freezer': 0.13,
  fridge: 0.08,
  'cold water': 0.07,
  cellar: 0.04,
};

type Vessel = { layerM3: number; sideM2: number; endM2: number; wallWPerM2K: number; wallJPerM2K: number };

/** Draws one jar and follows it for four hours; with an act to the end of its hour, from then on as it was done. */
export function drawLayeredJar(dice: Dice, act?: Act): JarTruth {
  const scene = dice.pick(sceneWeights);
  const volumeL = dice.logBetween(0.2, 4);
  const material = dice.happens(0.65) ? 'glass' : 'steel';
  const roomC = dice.between(13, 27);
  const vessel = drawVessel(volumeL, material, dice);
  const { milkC, aroundC } = follow(vessel, { scene, roomC, volumeL, material }, dice, act);
  return { scene, volumeL, material, roomC, moved: false, milkC, aroundC };
}

function drawVessel(volumeL: number, material: 'glass' | 'steel', dice: Dice): Vessel {
  const slender = dice.between(0.9, 2.4);
  const widthM = ((4 * volumeL * 1e-3) / (Math.PI * slender)) ** (1 / 3);
  const wallM = material === 'glass' ? dice.between(0.0025, 0.005) : dice.between(0.0006, 0.0012);
  return {
    layerM3: (volumeL * 1e-3) / 3,
    sideM2: (Math.PI * widthM * widthM * slender) / 3,
    endM2: (Math.PI * widthM * widthM) / 4,
    wallWPerM2K: (material === 'glass' ? 1.05 : 15) / wallM,
    wallJPerM2K: wallM * (material === 'glass' ? 2.1e6 : 3.9e6),
  };
}

type Setting = { scene: Scene; roomC: number; volumeL: number; material: 'glass' | 'steel' };

/** What a jar stands in, and what an act changes of it. `count` vessels like it give their heat to one cold. */
type Standing = {
  vessel: Vessel;
  outside: Outside;
  cold: Cold;
  inside: { h: number; power: number };
  immersion: number;
  count: number;
};

/** How a jar stands once an act was done; `withIce` tells the step into ice from the one into water. */
function standAfter(act: Act, now: Standing, setting: Setting, withIce: boolean): Standing {
  const { dice } = act;
  switch (act.kind) {
    case 'ice-bath-stirred':
    case 'ice-bath':
    case 'cold-water':
    case 'cold-water-then-ice': {
      const outside =
        act.stirEveryS !== null
          ? { h: dice.logBetween(350, 1100), power: 0, radiation: 0 }
          : { h: dice.logBetween(80, 400), power: dice.between(0.2, 0.3), radiation: 0 };
      const cold = openLumpedBath(act, { withIce, roomC: setting.roomC });
      return { ...now, outside, cold, immersion: dice.between(0.55, 1) };
    }
    case 'split': {
      const vessel = drawVessel(setting.volumeL / act.vessels, setting.material, dice);
      return { ...now, vessel, count: act.vessels };
    }
    case 'stir':
      return { ...now, inside: { ...now.inside, h: now.inside.h * dice.logBetween(1.3, 2.6) } };
    case 'fan': {
      const h = Math.max(now.outside.h, dice.logBetween(16, 60));
      return { ...now, outside: { h, power: dice.between(0, 0.08), radiation: 4 } };
    }
    default:
      return act.kind satisfies never;
  }
}

function follow(first: Vessel, setting: Setting, dice: Dice, act?: Act): Followed {
  const { roomC, scene, volumeL } = setting;
  const outside = drawOutside(scene, dice);
  const cold = drawCold(scene, volumeL, roomC, dice);
  const inside = { h: dice.logBetween(110, 420), power: dice.between(0.18, 0.33) };
  const benchS = dice.happens(0.3) ? 0 : 60 * Math.min(14, -3 * Math.log(1 - dice.share()));
  const stableWPerK = ((0.56 * dice.logBetween(1, 60) * first.endM2) / first.sideM2) * first.endM2 ** 0.5;
  const sinking = dice.between(0, 0.5);
  const ends = { bottom: dice.between(0.2, 1), top: dice.between(0.1, 0.5) };
  const immersion = scene === 'ice' || scene === 'cold water' ? dice.between(0.35, 1) : 1;
  const shakeS = dice.happens(0.12) ? dice.between(4, 50) * 60 : Number.POSITIVE_INFINITY;
  const stirredMilk = dice.happens(0.08);
  const height = dice.share();
  const startC = dice.between(30, 38);
  const layers = [startC, startC, startC];
  const walls = [roomC + 0.7 * (startC - roomC), startC - 2, startC - 2];
  const steps = ((act === undefined ? truthMin : deadlineMin) * 60) / truthStepS;
  const milkC = new Float64Array(steps + 1);
  const around = new Float64Array(steps + 1);
  let standing: Standing = { vessel: first, outside, cold, inside, immersion, count: 1 };
  const acting = openActing(act);
  let shaken = false;
  for (let step = 0; step <= steps; step++) {
    const atS = step * truthStepS;
    const low = layers[0] as number;
    const mid = layers[1] as number;
    const top = layers[2] as number;
    milkC[step] = height < 0.5 ? low + (mid - low) * 2 * height : mid + (top - mid) * (2 * height - 1);
    const done = acting.stepAt(atS);
    if (done !== null) standing = standAfter(done.act, standing, setting, done.withIce);
    if (done?.act.kind === 'split') walls.fill(roomC);
    if (done?.act.kind === 'split' || acting.stirsAt(atS)) layers.fill((low + mid + top) / 3);
    const inCold = atS >= benchS || acting.begun();
    around[step] = inCold ? standing.cold.tempC() : roomC;
    if (inCold && (stirredMilk || (!shaken && atS > benchS + shakeS))) {
      shaken = true;
      layers.fill((low + mid + top) / 3);
    }
    let heatW = 0;
    for (let place = 0; place < 3; place++) {
      const { vessel } = standing;
      const immersed = place === 2 ? standing.immersion : 1;
      const aroundC = inCold ? standing.cold.tempC() : roomC;
      const film = inCold
        ? { ...standing.outside, h: immersed * standing.outside.h }
        : { h: 4, power: 0.25, radiation: 4.5 };
      heatW += exchange({
        vessel,
        layers,
        walls,
        place,
        film,
        inside: standing.inside,
        aroundC,
        sinking,
        ends,
      });
    }
    mixLayers(layers, standing.vessel.layerM3, stableWPerK);
    standing.cold.step(inCold ? standing.count * heatW : 0, truthStepS, atS);
  }
  return { milkC, aroundC: around };
}

type Exchange = {
  vessel: Vessel;
  layers: number[];
  walls: number[];
  place: number;
  film: Outside;
  inside: { h: number; power: number };
  aroundC: number;
  sinking: number;
  ends: { bottom: number; top: number };
};

/** Moves heat from one layer to its wall and from the wall out; returns what went out, W. */
function exchange(of: Exchange): number {
  const { vessel, layers, walls, place } = of;
  const end = place === 0 ? of.ends.bottom : place === 2 ? of.ends.top : 0;
  const areaM2 = vessel.sideM2 + end * vessel.endM2;
  const milkC = layers[place] as number;
  const wallC = walls[place] as number;
  const innerH = of.inside.h * (Math.max(0.05, Math.abs(milkC - wallC)) / 10) ** of.inside.power;
  const outerH =
    of.film.h * (Math.max(0.05, Math.abs(wallC - of.aroundC)) / 25) ** of.film.power + of.film.radiation;
  const half = 2 * vessel.wallWPerM2K;
  const inG = areaM2 / (1 / innerH + 1 / half);
  const outG = areaM2 / (1 / outerH + 1 / half);
  const wallJPerK = vessel.wallJPerM2K * areaM2;
  const inW = inG * (milkC - wallC);
  const outW = outG * (wallC - of.aroundC);
  walls[place] = wallC + ((inW - outW) * truthStepS) / (wallJPerK + (inG + outG) * truthStepS);
  const below = Math.max(0, place - 1);
  const heatJPerK = vessel.layerM3 * milkJPerM3K;
  const lostC = (inW * truthStepS) / (heatJPerK + inG * truthStepS);
  layers[place] = milkC - (1 - of.sinking) * lostC;
  layers[below] = (layers[below] as number) - of.sinking * lostC;
  return outW;
}

function mixLayers(layers: number[], layerM3: number, stableWPerK: number): void {
  for (let place = 0; place < 2; place++) {
    const low = layers[place] as number;
    const high = layers[place + 1] as number;
    const share = low > high ? 0.4 : Math.min(0.4, (stableWPerK * truthStepS) / (layerM3 * milkJPerM3K));
    layers[place] = low + share * (high - low);
    layers[place + 1] = high - share * (high - low);
  }
}
