/** Ways out through water: an ice bath, stirred or left alone, and cold water before the stirred ice. */
import type { RescueKind } from '../../shared/contract/forecast.ts';
import { iceForMilkKg, iceMeltKJPerKg } from '../../shared/dairy/ice-balance.ts';
import { usualMilkKgPerL } from '../../shared/dairy/milk-density.ts';
import { milkHeatKJPerKgK } from '../../shared/dairy/milk-heat.ts';
import { waterForMilkL, waterKJPerKgK } from '../../shared/dairy/water-balance.ts';
import type { ChillQuestion } from './chill-forecast.ts';
import { type CoolingLaw, cooledC } from './cooling-law.ts';
import type { Course } from './course.ts';
import { normalQuantile } from './crossing.ts';
import type { Told } from './place-prior.ts';
import type { Way } from './way-forecast.ts';

/** From saying it to having the jar in its bath, and until its middle feels it. */
const handlingMin = 4;
const litreJarL = 0.95;
/** Where no volume was told: milk that will miss is likelier much than little. Its log spread goes into the rate. */
const doomedVolumeL = 2;
const volumeLogSd = 0.35;
/**
 * What an ice bath must take up beside the milk: as much water as milk, from the tap, and a glass of 0.4 kg a litre
 * at 0.84 kJ/kgK (Çengel, Heat Transfer, table A-8). Common practice, no source.
 */
const bathWaterShare = 1;
const vesselKJPerKPerL = 0.34;
/** The room warms a bath through 0.12 m² for a litre at 10 W/m²K and 20 K for an hour, kJ (Çengel, table 1-5). */
const roomKJ = 86;
/** More ice than melts: as long as some of it floats the bath stays near 0 °C. Common practice, no source. */
const iceSpare = 1.6;
/** Less does not reach round a jar, kg. */
const iceLeastKg = 0.5;
/** Where the balance of an ice bath ends, °C. */
const bathEndC = 2;
/** Cooler than this, glass is not warm: it takes the step into ice. Common practice, no source. */
const warmGlassC = 20;
/** How long milk stays in cold water first: most of what it gives goes early. Common practice, no source. */
const waterMin = 10;
/** Cold water is reckoned to warm by this while it takes up that heat, K. */
const waterWarmsK = 4;

type BathLaw = { aroundC: number; aroundSdC: number; n: number; perMin: number; logSd: number };
type IceWay = BathLaw & { kind: 'ice-bath' | 'ice-bath-stirred' };

/**
 * Unstirred, the water at the vessel stays near 4 °C, where water is heaviest: fitted to the ice-water row of a
 * handbook table (M. J. Toth, goat's milk: 48, 42 and 40 °F at 30, 60 and 90 min), taken as 0.95 L. Stirred:
 * films of 400 (milk, stirred now and then) and 500 W/m²K (water) and a glass of 4 mm in a row, no source.
 */
export const iceWays: readonly IceWay[] = [
  { kind: 'ice-bath-stirred', aroundC: 0.8, aroundSdC: 0.6, n: 1.15, perMin: 0.1, logSd: 0.35 },
  { kind: 'ice-bath', aroundC: 3.9, aroundSdC: 1.1, n: 1.25, perMin: 0.063, logSd: 0.4 },
];
/**
 * Cold water from a tap, well or spring that nobody measured, and its rise at the vessel; the same table's row of
 * water changed 2-3 times (60 °F after 30, 52 after 60 and 50 after 90 min) lies within it.
 */
const tapC = { aroundC: 12, sdC: 3.5, risesC: 1.5 };
const waterLaw: Omit<BathLaw, 'aroundC'> = { aroundSdC: 1, n: 1.2, perMin: 0.065, logSd: 0.4 };
/** Thin steel passes more heat than glass, plastic less: the wall is about a third of the resistance. */
const materialFactors = { glass: 1, steel: 1.3, copper: 1.35, enamel: 1.25, plastic: 0.75 } as const;
const aroundSteps = [-1.3, -0.6, -0.2, 0.2, 0.6, 1.3] as const;
const rateSteps = 9;

/** The baths that this house may have and this milk is not in yet, before they are forecast. */
export function bathWays(nowC: number, question: ChillQuestion): Way[] {
  const { atHand, done = [], told } = question;
  if (atHand?.ice === false) return [];
  const inIce = told.place === 'ice-bath';
  const ice = iceWays
    .filter(({ kind }) => kind === 'ice-bath-stirred' || !inIce)
    .map((way) => iceWay(way, nowC, question));
  const isWarm = nowC >= warmGlassC;
  const wantsWater = isWarm && !inIce && told.place !== 'cold-water' && atHand?.water !== false;
  const ways = wantsWater ? [...ice, waterThenIce(nowC, question)] : ice;
  return ways.filter(({ kind }) => !done.includes(kind));
}

function iceWay(way: IceWay, nowC: number, question: ChillQuestion): Way {
  const courses = iceLaws(way, question).map((law): Course => ({ first: null, law, mixedK: 0 }));
  const { kind } = way;
  const iceKg = iceKgOf(question, nowC);
  return { kind, handlingMin, courses, lean: 0, iceKg, cautions: bathCautions(kind, nowC, question.told) };
}

function waterThenIce(nowC: number, question: ChillQuestion): Way {
  const { atHand, told } = question;
  const waterC = atHand?.waterC ?? null;
  const water: BathLaw = {
    ...waterLaw,
    aroundC: (waterC ?? tapC.aroundC) + tapC.risesC,
    aroundSdC: waterC === null ? tapC.sdC : waterLaw.aroundSdC,
  };
  const firsts = bathLaws(water, told);
  const ice = iceWays[0] as IceWay;
  const courses = iceLaws(ice, question).map(
    (law, place): Course => ({
      first: { law: firsts[place] as CoolingLaw, spanMin: waterMin },
      law,
      mixedK: 0,
    }),
  );
  const afterC = cooledC({ ...water, perMin: water.perMin * scaleOf(told) }, nowC, waterMin);
  const kind = 'cold-water-then-ice';
  return {
    kind,
    handlingMin,
    courses,
    lean: 0,
    iceKg: iceKgOf(question, Math.min(nowC, afterC)),
    waterL: waterLOf(told, nowC, afterC),
    waterSpanMs: waterMin * 60_000,
    cautions: bathCautions(kind, nowC, told),
  };
}

/** Laws over an ice bath's surroundings and rates, equally likely. */
export function iceLaws(way: IceWay, { told }: Pick<ChillQuestion, 'told'>): CoolingLaw[] {
  return bathLaws(way, told);
}

function bathLaws(bath: BathLaw, told: Told): CoolingLaw[] {
  const perMin = bath.perMin * scaleOf(told);
  const logSd = told.volumeL === null ? Math.hypot(bath.logSd, volumeLogSd) : bath.logSd;
  return aroundSteps.flatMap((z) =>
    Array.from({ length: rateSteps }, (_, step) => ({
      aroundC: Math.max(0, bath.aroundC + z * bath.aroundSdC),
      n: bath.n,
      perMin: perMin * Math.exp(logSd * normalQuantile((step + 0.5) / rateSteps)),
    })),
  );
}

/** The rate of this vessel over that of a litre jar of glass. */
function scaleOf({ material, volumeL }: Told): number {
  const bySize = ((volumeL ?? doomedVolumeL) / litreJarL) ** (-1 / 3);
  return bySize * (material === null ? 1 : materialFactors[material]);
}

/** What to mind with a bath; sentences are made from these codes elsewhere. */
function bathCautions(kind: RescueKind, nowC: number, { material, place }: Told): string[] {
  const mayBeGlass = material === null || material === 'glass';
  // The glass of a jar that stands in cold water is nearly as cold as that, however warm its milk.
  const isCooled = place === 'cold-water' || kind === 'cold-water-then-ice';
  const mayCrack = mayBeGlass && nowC >= warmGlassC && !isCooled;
  return [
    ...(mayCrack ? ['warm-glass-cracks'] : []),
    'water-below-lid',
    ...(kind === 'ice-bath' ? [] : ['clean-tools']),
    ...(mayBeGlass ? ['out-before-freezing'] : []),
  ];
}

/**
 * Ice for the heat of milk, vessel and bath water down to 2 °C and of the room, with some to spare, rounded up to
 * 0.1 kg; null where no volume was told.
 */
function iceKgOf({ atHand, told: { volumeL } }: ChillQuestion, fromC: number): number | null {
  if (volumeL === null) return null;
  const toC = bathEndC;
  const milkKg = iceForMilkKg({ ...milkOf(volumeL, (fromC + toC) / 2), fromC, toC });
  const vesselKg = iceForMilkKg({ milkKg: volumeL, heatKJPerKgK: vesselKJPerKPerL, fromC, toC });
  const waterC = atHand?.waterC ?? tapC.aroundC;
  const bath = { milkKg: bathWaterShare * volumeL, heatKJPerKgK: waterKJPerKgK, fromC: waterC, toC };
  const roomKg = (roomKJ * volumeL ** (2 / 3)) / iceMeltKJPerKg;
  const wantedKg = (milkKg + vesselKg + iceForMilkKg(bath) + roomKg) * iceSpare;
  return Math.ceil(Math.max(iceLeastKg, wantedKg) * 10) / 10;
}

/** Water for the heat of the time in it, rounded up to half a litre; null where no volume was told. */
function waterLOf({ volumeL }: Told, fromC: number, toC: number): number | null {
  if (volumeL === null) return null;
  const milk = milkOf(volumeL, (fromC + toC) / 2);
  return Math.ceil(waterForMilkL({ ...milk, fromC, toC, warmsK: waterWarmsK }) * 2) / 2;
}

function milkOf(volumeL: number, atC: number): { milkKg: number; heatKJPerKgK: number } {
  return { milkKg: volumeL * usualMilkKgPerL, heatKJPerKgK: milkHeatKJPerKgK(atC) };
}
