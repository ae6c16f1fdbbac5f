/** Before milking: how long this milk would take in each place, from what is likely of places and vessels. */
import type { Material, PlaceKind } from '../../shared/contract/ids.ts';
import type { Lesson } from '../../shared/contract/prior.ts';
import { iceLaws, iceWays } from './bath-ways.ts';
import { type CoolingLaw, minutesTo } from './cooling-law.ts';
import { normalQuantile } from './crossing.ts';
import { learnedWays, lessonsLeast } from './learned-ways.ts';

/** What is planned: so much milk in one vessel, this warm, to be at `limitC` less `marginC` within `spanMin`. */
export type PlanQuestion = {
  volumeL: number;
  material: Material | null;
  fromC: number;
  limitC: number;
  marginC: number;
  spanMin: number;
};

/** A place that is thought of; `aroundC` is null where nobody told or measured it. */
export type PlannedPlace = {
  id: string;
  kind: PlaceKind;
  aroundC: number | null;
  /** What the house's own chills there taught; nothing where left out. */
  lessons?: readonly Lesson[];
};

/** One way of a plan: minutes to the limit as typed (null is never within 12 h) and the chance to be surely under in time. */
export type PlannedWay = {
  place: string;
  /** In an ice bath, whether somebody stirs; null elsewhere. */
  stirred: boolean | null;
  /** From how many of the house's own chills it is reckoned; 0 is from what is usual. */
  chills: number;
  minutes: { p10: number | null; p50: number | null; p90: number | null };
  chance: number;
};

/** Beyond this a plan says never, minutes. */
export const plannedMinMost = 720;
const aroundSteps = 7;
const rateSteps = 15;
/** Between Newton's 1 and the 1.25 of natural convection (Çengel, Heat Transfer, chapter 9), equally likely. */
const exponents = [1, 1.13, 1.25] as const;
/** Heat through the wall against glass, as where a jar is put in ice: thin metal passes more, plastic less. */
const materialFactors = { glass: 1, steel: 1.1, copper: 1.1, enamel: 1.1, plastic: 0.9 } as const;

/** Returns the ways in the order of their chance, then of their median; an ice bath is two, stirred and left alone. */
export function planChill(question: PlanQuestion, places: readonly PlannedPlace[]): PlannedWay[] {
  const ways = places.flatMap((place) =>
    place.kind === 'ice-bath' && chillsOf(place) === 0
      ? iceWays.map((way) => {
          const told = { ...question, place: place.kind, aroundC: place.aroundC };
          const laws = iceLaws(way, { told });
          const likely = laws.map((law) => ({ law, share: 1 / laws.length }));
          return wayOf(question, likely, {
            place: place.id,
            stirred: way.kind === 'ice-bath-stirred',
            chills: 0,
          });
        })
      : [
          wayOf(question, likelyLaws(question, place), {
            place: place.id,
            stirred: null,
            chills: chillsOf(place),
          }),
        ],
  );
  const median = ({ minutes }: PlannedWay) => minutes.p50 ?? plannedMinMost;
  return ways.sort((a, b) => b.chance - a.chance || median(a) - median(b));
}

/** How many of its chills a plan of this place goes by. */
function chillsOf({ lessons = [] }: PlannedPlace): number {
  return lessons.length < lessonsLeast ? 0 : lessons.length;
}

function wayOf(
  question: PlanQuestion,
  laws: readonly Likely[],
  named: Pick<PlannedWay, 'place' | 'stirred' | 'chills'>,
): PlannedWay {
  const { fromC, limitC, marginC, spanMin } = question;
  const made = laws.filter(({ law }) => minutesTo(law, fromC, limitC - marginC) <= spanMin);
  const crossings = laws
    .map(({ law, share }) => ({ min: minutesTo(law, fromC, limitC), share }))
    .sort((a, b) => (a.min < b.min ? -1 : a.min > b.min ? 1 : 0));
  const at = (part: number) => {
    let reached = 0;
    for (const { min, share } of crossings) {
      reached += share;
      if (reached >= part - 1e-9) return min <= plannedMinMost ? Math.round(min * 10) / 10 : null;
    }
    return null;
  };
  const chance = made.reduce((sum, { share }) => sum + share, 0);
  return { ...named, minutes: { p10: at(0.1), p50: at(0.5), p90: at(0.9) }, chance: Math.min(1, chance) };
}

type Likely = { law: CoolingLaw; share: number };

/** Laws over the place's ways, surroundings, rates and exponents, with shares that add up to 1. */
function likelyLaws({ material, volumeL }: PlanQuestion, place: PlannedPlace): Likely[] {
  const { aroundC, kind, lessons = [] } = place;
  // What was learned was learned with its vessel.
  const factor = material === null || chillsOf(place) > 0 ? 1 : materialFactors[material];
  return learnedWays({ place: kind, aroundC, volumeL, material }, lessons).flatMap((way) =>
    quantiles(aroundSteps).flatMap((aroundZ) =>
      quantiles(rateSteps).flatMap((rateZ) =>
        exponents.map((n) => ({
          law: {
            aroundC: way.aroundC + aroundZ * way.aroundSdC,
            n,
            perMin: factor * Math.exp(way.logPerMin + rateZ * way.logPerMinSd),
          },
          share: way.share / (aroundSteps * rateSteps * exponents.length),
        })),
      ),
    ),
  );
}

/** Standard normal quantiles that stand for equal shares. */
function quantiles(count: number): number[] {
  return Array.from({ length: count }, (_, step) => normalQuantile((step + 0.5) / count));
}
