/** Ways out that leave the milk where it is: smaller vessels, stirring, moving air. They change its own laws. */
import type { PlaceKind } from '../../shared/contract/ids.ts';
import type { ChillQuestion } from './chill-forecast.ts';
import type { CoolingLaw } from './cooling-law.ts';
import type { Course } from './course.ts';
import { normalQuantile } from './crossing.ts';
import { anyVolumeL, perMinOf, type Told, wPerM2KOf } from './place-prior.ts';
import type { Way } from './way-forecast.ts';

/** Smaller vessels are reckoned to hold about this much, L, and to be no more than this many. */
const smallVesselL = 0.4;
const vesselsMost = 6;
const vesselsUsual = 3;
/** Vessels of one shape cool by the cube root of their number faster; side by side they share their air. */
const crowdedShare = 0.88;
const splitLogSd = { told: 0.25, untold: 0.35 };
/**
 * Films on the inside of a wall, W/m²K, where milk stands and where it is stirred every few minutes, and the spread
 * of what stirring wins: natural and forced convection in water-like liquids (Çengel, Heat Transfer, table 1-5).
 */
const stillFilm = 250;
const stirredFilm = 600;
/** Beyond this an overall coefficient is a fast fit and no vessel, W/m²K. */
const overallMost = 150;
const stirLogSd = 0.12;
/** Moving air with its radiation on a vessel, W/m²K: the low half of 18-40, since nearer a fan is not in its stream. */
const movingFilm = 22;
const movingLogSd = 0.4;
/** Air that blows cools nearly as Newton has it. */
const movingPower = 1.05;
/** From this on the air at the vessel already moves. */
const stillMost = 18;
/** Milk at the probe is off the mean of its vessel by this share of what it is over its surroundings. */
const unmixedShare = 0.04;

type Change = Omit<Way, 'lean'>;

const airPlaces: readonly (PlaceKind | null)[] = ['freezer', 'fridge', 'room', 'cellar'];

/** How the milk goes now: its laws, °C at the probe, and what its forecast's own correction adds to the log-odds. */
export type Going = { laws: readonly CoolingLaw[]; nowC: number; lean: number };

/** The changes that this house can make and has not made yet, before they are forecast. */
export function changedWays(going: Going, question: ChillQuestion): Way[] {
  const { laws, lean, nowC } = going;
  if (laws.length === 0) return [];
  const { done = [] } = question;
  const ways = [splitWay(laws, nowC, question), stirWay(laws, nowC, question), fanWay(laws, question)];
  return ways
    .filter((way) => way !== null)
    .filter(({ kind }) => !done.includes(kind))
    .map((way) => ({ ...way, lean }));
}

function splitWay(laws: readonly CoolingLaw[], nowC: number, { atHand, told }: ChillQuestion): Change | null {
  const vessels = vesselsOf(told);
  if (vessels === null || atHand?.vessels === false) return null;
  const faster = crowdedShare * vessels ** (1 / 3);
  const logSd = told.place === null ? splitLogSd.untold : splitLogSd.told;
  const courses = laws.map((law, place): Course => {
    const perMin = law.perMin * faster * Math.exp(logSd * scattered(place, laws.length, 0));
    return { first: null, law: { ...law, perMin }, mixedK: mixedK(law, nowC, place, laws.length) };
  });
  const cautions = ['clean-jars', ...freezingCautions(told)];
  return { kind: 'split', handlingMin: 4, courses, iceKg: null, vessels, cautions };
}

/** Into how many vessels milk is poured; null where it is little already. */
function vesselsOf({ volumeL }: Told): number | null {
  if (volumeL === null) return vesselsUsual;
  const vessels = Math.min(vesselsMost, Math.ceil(volumeL / smallVesselL));
  return vessels >= 2 ? vessels : null;
}

/**
 * Stirring the milk, where it is told what it stands in: it wins much in water and next to nothing in air. In an ice
 * bath it is the bath that is stirred with it, which is a way of its own.
 */
function stirWay(laws: readonly CoolingLaw[], nowC: number, { told }: ChillQuestion): Change | null {
  if (told.place === null || told.place === 'ice-bath') return null;
  const volumeL = told.volumeL ?? anyVolumeL;
  const courses = laws.map((law, place): Course => {
    const overall = Math.min(overallMost, wPerM2KOf(law.perMin, volumeL));
    const faster = 1 / (1 + overall * (1 / stirredFilm - 1 / stillFilm));
    const spread = stirLogSd * (faster - 1) * scattered(place, laws.length, 0);
    const perMin = law.perMin * faster * Math.exp(spread);
    return { first: null, law: { ...law, perMin }, mixedK: mixedK(law, nowC, place, laws.length) };
  });
  return { kind: 'stir', handlingMin: 1, courses, iceKg: null, cautions: ['clean-tools'] };
}

/** Nearer a fan, where the house told that it has one and the milk stands in air that does not move yet. */
function fanWay(laws: readonly CoolingLaw[], { atHand, told }: ChillQuestion): Change | null {
  if (atHand?.fan !== true || !airPlaces.includes(told.place)) return null;
  const volumeL = told.volumeL ?? anyVolumeL;
  const films = laws.map(({ perMin }) => wPerM2KOf(perMin, volumeL)).sort((a, b) => a - b);
  if ((films[films.length >> 1] as number) > stillMost) return null;
  const courses = laws.map((law, place): Course => {
    const blown = movingFilm * Math.exp(movingLogSd * scattered(place, laws.length, 0));
    const perMin = Math.max(law.perMin, perMinOf(blown, volumeL));
    return { first: null, law: { ...law, perMin, n: Math.min(law.n, movingPower) }, mixedK: 0 };
  });
  return { kind: 'fan', handlingMin: 2, courses, iceKg: null, cautions: freezingCautions(told) };
}

function freezingCautions({ material, place }: Told): string[] {
  const mayBeGlass = material === null || material === 'glass';
  return mayBeGlass && (place === null || place === 'freezer') ? ['out-before-freezing'] : [];
}

function mixedK({ aroundC }: CoolingLaw, nowC: number, place: number, count: number): number {
  return unmixedShare * (nowC - aroundC) * scattered(place, count, 1);
}

/** A standard normal value for one of `count` draws, in an order that has nothing to do with the draws' own. */
function scattered(place: number, count: number, stream: number): number {
  const golden = stream === 0 ? 0.618034 : 0.754878;
  const share = (((place + 0.5) * golden) % 1) * (1 - 1 / count) + 0.5 / count;
  return normalQuantile(share);
}
