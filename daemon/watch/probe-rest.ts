/** Where a probe rests for long: the room it lives in, mostly. */
import type { Recent } from './recent.ts';

export type ProbeRest = {
  /** The level at which the probe last rested for long; null before. */
  restC: number | null;
  /** Since when it has been near `nearC`, and the level it has been near. */
  sinceMs: number;
  nearC: number;
};

/** Resting means within this band for this long. */
const bandC = 1;
const leastMs = 10 * 60_000;
/** A level follows its readings by this share of each. */
const follows = 0.02;

/** Returns the rest of a probe of which nothing is known, or what stays known of it after a pause. */
export function openRest(before?: ProbeRest): ProbeRest {
  return { restC: before?.restC ?? null, sinceMs: 0, nearC: -300 };
}

/** Takes over `rest` and feels the newest bin. */
export function feelRest(rest: ProbeRest, recent: Recent): ProbeRest {
  const atMs = recent.atMs.at(-1) ?? 0;
  const tempC = recent.tempC.at(-1) ?? 0;
  if (!(Math.abs(tempC - rest.nearC) <= bandC)) {
    rest.nearC = tempC;
    rest.sinceMs = atMs;
    return rest;
  }
  rest.nearC += (tempC - rest.nearC) * follows;
  if (atMs - rest.sinceMs >= leastMs) rest.restC = Math.round(rest.nearC * 100) / 100;
  return rest;
}
