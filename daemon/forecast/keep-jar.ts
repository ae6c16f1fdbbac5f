/** The milk of a place as its probe tells: its own reading in a vessel, or what a jar would feel of the air. */
import type { TempQuantiles } from '../../shared/contract/forecast.ts';

/**
 * Jars that feel the same air, the quick first: still air on thick glass, a fan on a small jar, and between.
 * Plain JSON; °C each.
 */
export type KeepJar = {
  inVessel: boolean;
  atMs: number | null;
  /** The last air, so that what lies between two readings is their mean. */
  airC: number;
  milkC: [number, number, number];
  /** Time constants of the three, minutes. */
  tauMin: [number, number, number];
};

/**
 * Overall heat transfer from a jar to fridge air, W/m²K: 8-14 in still air with radiation, 18-30 where a fan
 * blows (Çengel, Heat Transfer, table 1-5), so 13 between them with a log spread of 0.45.
 */
const wPerM2K = 13;
const logSpread = 0.45;
/** The normal deviate of the 10 % quantile. */
const tenth = 1.2816;
/** Volumetric heat of milk, J/m³K: 1030 kg/m³ (Watson & Tittsler 1961) by 3890 J/kgK (Choi & Okos 1986). */
const milkJPerM3K = 4.0e6;
/** Surface over volume of an upright jar as high as 1.6 times its width, 1/m, at one litre. */
const surfacePerM = 56;
/** The jar that is meant where nothing was told. */
const anyVolumeL = 0.95;
/** What a probe in a vessel may be from its milk's mean, and its own smoothing. */
const vesselDoubtC = 0.05;
const vesselSmoothMs = 4 * 60_000;
/** Between readings further apart than this nothing is known of the air. */
const gapMs = 3 * 3_600_000;

/** Returns jars of `volumeL` before the first reading. */
export function openKeepJar(told: { inVessel: boolean; volumeL: number | null }): KeepJar {
  const volumeL = told.volumeL ?? anyVolumeL;
  const tauMin = milkJPerM3K / (60 * wPerM2K * surfacePerM * volumeL ** (-1 / 3));
  const spread = Math.exp(tenth * logSpread);
  return {
    inVessel: told.inVessel,
    atMs: null,
    airC: 0,
    milkC: [0, 0, 0],
    tauMin: [tauMin / spread, tauMin, tauMin * spread],
  };
}

/** Takes over `jar` with one reading; an older one than the newest is passed over. */
export function feelKeepJar(jar: KeepJar, reading: { atMs: number; tempC: number }): KeepJar {
  const { atMs, tempC } = reading;
  if (jar.atMs === null || atMs - jar.atMs > gapMs) {
    const before = jar.atMs === null ? null : jar.milkC[1];
    jar.milkC = [tempC, before === null ? tempC : (tempC + before) / 2, before ?? tempC];
    if (jar.inVessel) jar.milkC = [tempC, tempC, tempC];
  } else if (atMs <= jar.atMs) {
    return jar;
  } else if (jar.inVessel) {
    const milkC = jar.milkC[1] + (tempC - jar.milkC[1]) * (1 - Math.exp((jar.atMs - atMs) / vesselSmoothMs));
    jar.milkC = [milkC, milkC, milkC];
  } else {
    const meanC = (tempC + jar.airC) / 2;
    const spanMin = (atMs - jar.atMs) / 60_000;
    for (let index = 0; index < 3; index++) {
      const tauMin = jar.tauMin[index] as number;
      jar.milkC[index] =
        (jar.milkC[index] as number) +
        (meanC - (jar.milkC[index] as number)) * (1 - Math.exp(-spanMin / tauMin));
    }
  }
  jar.atMs = atMs;
  jar.airC = tempC;
  return jar;
}

/** Takes over `jar` as one whose probe hangs in the milk, or in the air; the milk is begun from the last reading. */
export function setInVessel(jar: KeepJar, inVessel: boolean): KeepJar {
  if (jar.inVessel === inVessel) return jar;
  jar.inVessel = inVessel;
  if (inVessel) jar.milkC = [jar.airC, jar.airC, jar.airC];
  return jar;
}

/** Returns the milk now, °C; null before the first reading. */
export function milkOf(jar: KeepJar): TempQuantiles | null {
  if (jar.atMs === null) return null;
  const [quick, middle, slow] = jar.milkC;
  const doubtC = jar.inVessel ? vesselDoubtC : 0;
  return {
    p10: Math.min(quick, middle, slow) - doubtC,
    p50: middle,
    p90: Math.max(quick, middle, slow) + doubtC,
  };
}
