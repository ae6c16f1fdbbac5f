/** What stands around the jars of population 1: one lump of air with doors, one lump of water with its ice. */
import type { Dice } from './dice.ts';
import type { Scene } from './jar.ts';

const meltJPerKg = 333_400;
const waterJPerKgK = 4190;

/** The film on the outside of a jar, W/m²K at 25 K, with the power of its difference, beside radiation. */
export type Outside = { h: number; power: number; radiation: number };

/** Draws the film on the outside of a jar in such a scene. */
export function drawOutside(scene: Scene, dice: Dice): Outside {
  switch (scene) {
    case 'ice':
    case 'cold water':
      return dice.happens(0.45)
        ? { h: dice.logBetween(350, 1100), power: 0, radiation: 0 }
        : { h: dice.logBetween(80, 400), power: dice.between(0.2, 0.3), radiation: 0 };
    case 'moving air':
      return { h: dice.logBetween(16, 60), power: dice.between(0, 0.08), radiation: 4 };
    default:
      return {
        h: dice.logBetween(3, 10),
        power: dice.between(0.2, 0.33),
        radiation: dice.between(3.2, 5.2),
      };
  }
}

/** What a jar stands in: heat is put in and time passes. */
export type Cold = {
  step(heatW: number, stepS: number, atS: number): void;
  /** °C around the vessel now. */
  tempC(): number;
};

/** Draws what a jar stands in in such a scene. */
export function drawCold(scene: Scene, volumeL: number, roomC: number, dice: Dice): Cold {
  return scene === 'ice' || scene === 'cold water'
    ? drawBath(scene, volumeL, roomC, dice)
    : drawAir(scene, roomC, dice);
}

function drawAir(scene: Scene, roomC: number, dice: Dice): Cold {
  const setC =
    scene === 'fridge'
      ? dice.between(0.8, 6)
      : scene === 'cellar'
        ? dice.between(7, 14)
        : scene === 'moving air'
          ? dice.between(-28, -10)
          : dice.between(-24, -10);
  const swingC = scene === 'cellar' ? 0.2 : dice.between(0.3, 2.5);
  const periodS = dice.between(600, 2400);
  const phase = dice.share();
  const storeWPerK = scene === 'moving air' ? dice.logBetween(8, 40) : dice.logBetween(3, 20);
  const heatJPerK = dice.logBetween(2000, 15_000);
  const doors: number[] = [];
  for (let atS = 0; atS < 14_400; ) {
    atS += dice.logBetween(600, 12_000);
    doors.push(atS);
  }
  const openS = dice.between(10, 60);
  let airC = setC + dice.between(0, 4);
  return {
    tempC: () => airC,
    step: (heatW, stepS, atS) => {
      const wave = 4 * Math.abs(((atS / periodS + phase) % 1) - 0.5) - 1;
      const open = scene !== 'cellar' && doors.some((from) => atS >= from && atS < from + openS);
      const intoW =
        storeWPerK * (setC + swingC * wave - airC) + heatW + (open ? 40 * Math.max(0, roomC - airC) : 0);
      const stiff = storeWPerK + (open ? 40 : 0);
      airC += (intoW * stepS) / (heatJPerK + stiff * stepS);
    },
  };
}

function drawBath(scene: Scene, volumeL: number, roomC: number, dice: Dice): Cold {
  const waterKg = volumeL * dice.logBetween(0.8, 5) + 0.3;
  let iceKg = scene === 'ice' ? waterKg * dice.between(0.2, 1.2) : 0;
  const tapC = scene === 'ice' ? dice.between(0.2, 4) : dice.between(3, 15);
  const running = scene === 'cold water' && dice.happens(0.3);
  const changeEveryS =
    scene === 'cold water' && dice.happens(0.3) ? dice.between(600, 1800) : Number.POSITIVE_INFINITY;
  const meltWPerK = dice.logBetween(110, 900);
  const gainWPerK = dice.between(1, 5) * waterKg ** 0.5;
  const topUpS = dice.happens(0.2) ? dice.between(900, 3600) : Number.POSITIVE_INFINITY;
  const topUpKg = waterKg * dice.between(0.1, 0.5);
  let bathC = tapC;
  let changed = 0;
  let topped = false;
  return {
    tempC: () => bathC,
    step: (heatW, stepS, atS) => {
      if (running) return;
      if (Math.floor(atS / changeEveryS) > changed) {
        changed++;
        bathC = tapC + 0.15 * (bathC - tapC);
      }
      if (scene === 'ice' && !topped && atS > topUpS) {
        topped = true;
        iceKg += topUpKg;
      }
      const perK = meltWPerK * iceKg ** (2 / 3);
      const meltW = iceKg > 0 ? perK * bathC : 0;
      iceKg = Math.max(0, iceKg - (Math.max(0, meltW) * stepS) / meltJPerKg);
      const intoW = heatW + gainWPerK * (roomC - bathC) - meltW;
      bathC += (intoW * stepS) / (waterKg * waterJPerKgK + perK * stepS);
    },
  };
}
