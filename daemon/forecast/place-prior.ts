/** What is likely before any reading: how cold places are and how fast they take heat from a vessel. */
import type { Material, PlaceKind } from '../../shared/contract/ids.ts';

/** What a person has said about a chill; null where nothing was said. */
export type Told = {
  place: PlaceKind | null;
  aroundC: number | null;
  volumeL: number | null;
  material: Material | null;
};

/** One way of cooling: surroundings about `aroundC`, and the log of the relative rate at 25 K, 1/min. */
export type CoolingWay = {
  place: PlaceKind;
  share: number;
  aroundC: number;
  aroundSdC: number;
  logPerMin: number;
  logPerMinSd: number;
  /** Belief in each exponent, where a chill of the house taught it. */
  exponentShares?: readonly number[];
};

/**
 * Overall heat transfer, W/m²K, on a vessel's outside, as a median and a log spread; common engineering
 * ranges (still air with radiation 8-14, moving air 18-40, unstirred to stirred water through a wall
 * 60-250: Çengel, Heat Transfer, table 1-5, and glass walls of 3-5 mm), no measurement of this trade.
 */
const ways: {
  place: PlaceKind;
  share: number;
  aroundC: number;
  sdC: number;
  wPerM2K: number;
  logSd: number;
}[] = [
  { place: 'freezer', share: 0.2, aroundC: -15, sdC: 5, wPerM2K: 11, logSd: 0.4 },
  { place: 'freezer', share: 0.12, aroundC: -17, sdC: 5, wPerM2K: 26, logSd: 0.45 },
  { place: 'fridge', share: 0.16, aroundC: 4, sdC: 2.5, wPerM2K: 10, logSd: 0.4 },
  { place: 'fridge', share: 0.06, aroundC: 3, sdC: 2.5, wPerM2K: 22, logSd: 0.45 },
  { place: 'ice-bath', share: 0.26, aroundC: 1, sdC: 1.5, wPerM2K: 120, logSd: 0.6 },
  { place: 'cold-water', share: 0.1, aroundC: 11, sdC: 4, wPerM2K: 110, logSd: 0.6 },
  { place: 'room', share: 0.05, aroundC: 19, sdC: 4, wPerM2K: 10, logSd: 0.4 },
  { place: 'cellar', share: 0.03, aroundC: 11, sdC: 3, wPerM2K: 10, logSd: 0.4 },
  { place: 'warm-box', share: 0.01, aroundC: 32, sdC: 8, wPerM2K: 10, logSd: 0.5 },
  { place: 'pot', share: 0.01, aroundC: 20, sdC: 10, wPerM2K: 20, logSd: 0.8 },
];

/** Volumetric heat of milk, J/m³K: 1030 kg/m³ (Watson & Tittsler 1961) by 3890 J/kgK (Choi & Okos 1986). */
const milkJPerM3K = 4.0e6;
/** Surface over volume of an upright jar as high as 1.6 times its width, 1/m, at one litre. */
const surfacePerM = 56;
/** The volume that is thought of where none was told, L. */
export const anyVolumeL = 0.95;
const anyVolumeLogSd = 0.75;

/**
 * Returns the ways of cooling that what was told leaves, with shares that add up to 1. A told place keeps
 * only its own ways; a told or measured surrounding replaces theirs; a told volume narrows the rate.
 */
export function coolingWays(told: Told): CoolingWay[] {
  const own = ways.filter(({ place }) => told.place === null || place === told.place);
  const total = own.reduce((sum, { share }) => sum + share, 0);
  const volumeL = told.volumeL ?? anyVolumeL;
  const volumeLogSd = told.volumeL === null ? anyVolumeLogSd : 0.1;
  return own.map(({ place, share, aroundC, sdC, wPerM2K, logSd }) => ({
    place,
    share: share / total,
    aroundC: told.aroundC ?? aroundC,
    aroundSdC: told.aroundC === null ? sdC : Math.min(sdC, 1.5),
    logPerMin: Math.log(perMinOf(wPerM2K, volumeL)),
    logPerMinSd: Math.hypot(logSd, volumeLogSd / 3),
  }));
}

/** The relative rate of fall, 1/min, of a vessel that holds `volumeL` and passes `wPerM2K` on its outside. */
export function perMinOf(wPerM2K: number, volumeL: number): number {
  return (60 * wPerM2K * surfacePerM * volumeL ** (-1 / 3)) / milkJPerM3K;
}

/** What such a vessel passes on its outside, W/m²K, where it falls at this relative rate. */
export function wPerM2KOf(perMin: number, volumeL: number): number {
  return perMin / perMinOf(1, volumeL);
}
