/** The plan of a house: its places, its rule, and what its own chills taught of them. Wiring. */

import type { Material } from '../shared/contract/ids.ts';
import type { PlanView } from '../shared/contract/plan.ts';
import type { HousePrior } from '../shared/contract/prior.ts';
import type { House } from './config/house-file.ts';
import { lessonsFor } from './forecast/learned-ways.ts';
import { planChill } from './forecast/plan-chill.ts';

/** What is to be planned: so much milk in one vessel of this material, going in this warm. */
export type PlanAsk = { volumeL: number; material: Material | null; fromC: number };

/** Returns the ways of this milk, the likeliest to make the house's rule first. */
export function planOfHouse(house: House, prior: HousePrior | null, ask: PlanAsk): PlanView {
  const { chill, places, probes } = house;
  const asked = {
    ...ask,
    limitC: chill.limitC,
    marginC: chill.guard ? Math.max(0, ...probes.map(({ uncertaintyC }) => uncertaintyC)) : 0,
    spanMin: chill.spanMs / 60_000,
  };
  const thought = places
    .filter(({ kind }) => kind !== 'pot' && kind !== 'warm-box')
    .map(({ id, kind, tempC }) => ({
      id,
      kind,
      aroundC: tempC,
      lessons: lessonsFor(prior, { place: id, kind, material: ask.material, volumeL: ask.volumeL }),
    }));
  return { v: 1, asked, ways: planChill(asked, thought) };
}
