/** The way out of a chill that will miss: the same laws in an ice bath, stirred or not. */
import type { PathPoint, Rescue } from '../../shared/contract/forecast.ts';
import { iceForMilkKg } from '../../shared/dairy/ice-balance.ts';
import { usualMilkKgPerL } from '../../shared/dairy/milk-density.ts';
import { milkHeatKJPerKgK } from '../../shared/dairy/milk-heat.ts';
import { rescueSureFrom } from '../../shared/dairy/offered-rescue.ts';
import type { ChillQuestion } from './chill-forecast.ts';
import type { ChillTrace } from './chill-trace.ts';
import { type ChillSight, sightChill } from './chill-view.ts';
import { type CoolingLaw, minutesTo } from './cooling-law.ts';
import { normalQuantile } from './crossing.ts';
import { noCorrection } from './learned-correction.ts';
import { instants, pathOf, type Spread } from './spread.ts';

/** What to mind with an ice bath; sentences are made from these codes elsewhere. */
export const iceCautions = [
  'warm-glass-cracks',
  'water-below-lid',
  'clean-tools',
  'out-before-freezing',
] as const;

/** From saying it to having the jar in ice. */
const handlingMin = 3;
const anyVolumeL = 0.95;
/** Ice beyond the milk's own heat: for the vessel, the water it lies in and the room; common practice, no source. */
const iceSpare = 1.4;

type IceWay = {
  kind: 'ice-bath' | 'ice-bath-stirred';
  aroundC: number;
  aroundSdC: number;
  n: number;
  perMin: number;
  logSd: number;
};

/**
 * Unstirred, the water at the vessel stays near 4 °C, where water is heaviest: fitted to the ice-water row of a
 * handbook table (M. J. Toth, goat's milk: 48, 42 and 40 °F at 30, 60 and 90 min), taken as 0.95 L. Stirred:
 * films of 300 (milk, natural convection) and 500 W/m²K (water) and a glass of 4 mm in a row, no source.
 */
export const iceWays: readonly IceWay[] = [
  { kind: 'ice-bath-stirred', aroundC: 0.8, aroundSdC: 0.6, n: 1.15, perMin: 0.09, logSd: 0.35 },
  { kind: 'ice-bath', aroundC: 3.9, aroundSdC: 1.1, n: 1.25, perMin: 0.063, logSd: 0.4 },
];
/** Thin steel passes more heat than glass, plastic less: the wall is about a third of the resistance. */
const materialFactors = { glass: 1, steel: 1.3, copper: 1.35, enamel: 1.25, plastic: 0.75 } as const;
const aroundSteps = [-1.3, -0.6, -0.2, 0.2, 0.6, 1.3] as const;
const rateSteps = 9;

/**
 * Returns the ice baths that could still help, quickest first, each with its own chance and quantiles from
 * readings at or before `atMs`; none while there are too few readings or once the milk is at the limit.
 */
export function rescueChill(trace: ChillTrace, question: ChillQuestion, atMs: number): Rescue[] {
  const view = sightChill(trace, question, atMs);
  if (view === null || view.curve.nowC <= question.limitC - question.marginC) return [];
  return iceWays
    .filter(({ kind }) => kind !== 'ice-bath' || question.told.place !== 'ice-bath')
    .map((way) => rescueBy(way, view, question, atMs));
}

function rescueBy(way: IceWay, view: ChillSight, question: ChillQuestion, atMs: number): Rescue {
  const laws = iceLaws(way, question);
  const nowC = view.curve.nowC;
  const startMs = atMs + handlingMin * 60_000;
  const spread = spreadOf(laws, nowC, startMs, question.deadlineMs);
  const toC = question.limitC - question.marginC;
  return {
    kind: way.kind,
    lastUsefulAtMs: lastUsefulMs(laws, view, question, atMs),
    chance: shareBefore(spread, toC, question.deadlineMs),
    crossing: instants(spread, question.limitC),
    path: pathWithHandling(spread, question, { atMs, nowC }),
    iceKg: iceKgOf(question, nowC),
    cautions: [...iceCautions],
  };
}

function spreadOf(laws: readonly CoolingLaw[], nowC: number, fromMs: number, deadlineMs: number): Spread {
  const reachMin = Math.max(1, (deadlineMs - fromMs) / 60_000);
  return { fromMs, nowC, laws, reachMin, correction: noCorrection };
}

/** Laws over the way's surroundings and rates, equally likely. */
export function iceLaws(way: IceWay, question: Pick<ChillQuestion, 'told'>): CoolingLaw[] {
  const { volumeL, material } = question.told;
  const bySize = ((volumeL ?? anyVolumeL) / anyVolumeL) ** (-1 / 3);
  const perMin = way.perMin * bySize * (material === null ? 1 : materialFactors[material]);
  const logSd = volumeL === null ? Math.hypot(way.logSd, 0.25) : way.logSd;
  return aroundSteps.flatMap((z) =>
    Array.from({ length: rateSteps }, (_, step) => ({
      aroundC: Math.max(0, way.aroundC + z * way.aroundSdC),
      n: way.n,
      perMin: perMin * Math.exp(logSd * normalQuantile((step + 0.5) / rateSteps)),
    })),
  );
}

function shareBefore(spread: Spread, toC: number, deadlineMs: number): number {
  const spanMin = (deadlineMs - spread.fromMs) / 60_000;
  if (spanMin <= 0) return 0;
  const made = spread.laws.filter((law) => minutesTo(law, spread.nowC, toC) <= spanMin);
  return made.length / spread.laws.length;
}

/**
 * The last whole minute at which such a bath would still make it with the chance that an offer needs, the milk
 * cooling until then as it does now; null where even now it would not.
 */
function lastUsefulMs(
  laws: readonly CoolingLaw[],
  view: ChillSight,
  question: ChillQuestion,
  atMs: number,
): number | null {
  const toC = question.limitC - question.marginC;
  const wouldMake = (waitMin: number): boolean => {
    const tempC = Math.max(toC, view.curve.nowC + Math.min(0, view.curve.rateCPerMin) * 0.7 * waitMin);
    const spread = spreadOf(laws, tempC, atMs + (waitMin + handlingMin) * 60_000, question.deadlineMs);
    return shareBefore(spread, toC, question.deadlineMs) >= rescueSureFrom;
  };
  if (atMs >= question.deadlineMs || !wouldMake(0)) return null;
  let useful = 0;
  let late = Math.ceil((question.deadlineMs - atMs) / 60_000);
  while (late - useful > 1) {
    const middle = (useful + late) >> 1;
    if (wouldMake(middle)) useful = middle;
    else late = middle;
  }
  return Math.floor(atMs / 60_000 + useful) * 60_000;
}

function pathWithHandling(
  spread: Spread,
  question: ChillQuestion,
  now: { atMs: number; nowC: number },
): PathPoint[] {
  const start = { atMs: now.atMs, p10C: now.nowC, p50C: now.nowC, p90C: now.nowC };
  return [start, ...pathOf(spread, question)];
}

/** Ice for the heat down to 2 °C with some to spare, rounded up to 0.1 kg; null where no volume was told. */
function iceKgOf(question: ChillQuestion, nowC: number): number | null {
  const { volumeL } = question.told;
  if (volumeL === null) return null;
  const leastKg = iceForMilkKg({
    milkKg: volumeL * usualMilkKgPerL,
    heatKJPerKgK: milkHeatKJPerKgK(nowC / 2),
    fromC: nowC,
    toC: 2,
  });
  return Math.ceil(leastKg * iceSpare * 10) / 10;
}
