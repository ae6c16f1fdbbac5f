/** The populations by number, jar by jar. */
import { openDice } from './dice.ts';
import { limitC, type SkillJar, truthStepS } from './jar.ts';
import { drawLawJar } from './population-laws.ts';
import { drawLayeredJar } from './population-layers.ts';
import { drawShelledJar } from './population-shells.ts';
import { readJar } from './probe-model.ts';
import type { Act } from './rescue/act.ts';

/** 1 is lumped layers, 2 is radial shells, 3 is made-up laws (to learn from); see deploy/docs/population.md. */
export type PopulationNumber = 1 | 2 | 3;
export const populationNames: Readonly<Record<PopulationNumber, string>> = {
  1: 'lumped layers',
  2: 'radial shells',
  3: 'made-up laws',
};

const draws = { 1: drawLayeredJar, 2: drawShelledJar, 3: drawLawJar } as const;

/** When the same jar crosses the limit with a way out taken, minutes; null for not within its hour. */
export function crossedWith(act: Act, of: { population: 1 | 2; seed: number; place: number }): number | null {
  const { milkC } = draws[of.population](openDice(of.seed * 2 + of.population, of.place), act);
  const step = milkC.findIndex((tempC) => tempC <= limitC);
  return step < 0 ? null : (step * truthStepS) / 60;
}

/** Returns one jar of a population: the same number, seed and place give the same jar. */
export function populationJar(population: PopulationNumber, seed: number, place: number): SkillJar {
  const dice = openDice(seed * 2 + population, place);
  const truth = draws[population](dice);
  return readJar(`${population}-${seed}-${place}`, truth, dice);
}
