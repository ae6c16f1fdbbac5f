/** Draws pots: the scene by chance, the physics by the population. */
import { openDice } from '../dice.ts';
import type { PotScene, PotWorld } from './pot.ts';
import { layersPot } from './stove-layers.ts';
import { plumesPot } from './stove-plumes.ts';

export type PotPopulation = 1 | 2;
export const potPopulationNames: Readonly<Record<PotPopulation, string>> = {
  1: 'layers of coil, pan, milk and wall',
  2: 'two zones of milk, pulses, skins and lifted lids',
};

/** What may be wrong with a probe; `none` is a pot in which cold milk may be poured. */
export type PotTrouble = 'none' | 'touching' | 'lifted';

/** The pot of that number; the same seed gives the same pot. Its probe has the trouble that is asked, or one by chance. */
export function drawPot(of: {
  population: PotPopulation;
  seed: number;
  place: number;
  trouble?: PotTrouble;
}): PotWorld {
  const { population, seed, place, trouble } = of;
  const dice = openDice(seed * 7_919 + population, place);
  const heightM = dice.happens(0.3) ? 0 : dice.between(0, 2_500);
  const scene: PotScene = {
    population,
    lid: dice.happens(0.55),
    knobTurned: dice.happens(0.25),
    touching: dice.happens(0.05),
    heightM,
    volumeL: dice.logBetween(1.5, 16),
    targetC: Math.min(dice.happens(0.2) ? dice.between(32, 55) : dice.between(62, 93), 99 - heightM / 290),
  };
  if (trouble !== undefined) {
    scene.touching = trouble === 'touching';
    const chance = openDice(seed * 6_151 + population, place);
    if (trouble === 'lifted') scene.liftedAtS = Math.round(chance.logBetween(150, 1_500));
    if (trouble === 'none' && chance.happens(0.2))
      scene.poured = { atS: Math.round(chance.logBetween(150, 1_500)), dropC: chance.between(2, 15) };
  }
  return population === 1 ? layersPot(dice, scene) : plumesPot(dice, scene);
}
