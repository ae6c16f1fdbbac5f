/** Feels whether a probe in a cold place is at rest in its window: then a keep begins by itself. */
import type { KeepWindow } from '../../shared/contract/keep.ts';

/** Plain JSON: a slow mean of the readings, and since when it is in the window. */
export type KeepRest = { meanC: number | null; atMs: number; inSinceMs: number | null };

/**
 * How long a probe must have been at rest: one that is told to measure a place's air has nothing else to do,
 * one that may hang in milk could be on its way to a jar.
 */
export const restMs = { air: 2 * 60_000, unknown: 30 * 60_000, vessel: 60 * 60_000 } as const;
const smoothMs = 20 * 60_000;
/** A longer gap begins it again. */
const gapMs = 60 * 60_000;
/** How far a reading may be from the mean: air goes with the compressor and the door, milk does not. */
const wavers = { air: 8, vessel: 0.8 } as const;

/** Returns the feeling before the first reading. */
export function openKeepRest(): KeepRest {
  return { meanC: null, atMs: 0, inSinceMs: null };
}

/** Takes over `rest` with one reading in order of time; `since` is when the rest began once it is long enough. */
export function feelRest(
  rest: KeepRest,
  reading: { atMs: number; tempC: number },
  { window, inVessel }: { window: KeepWindow; inVessel: boolean | null },
): { rest: KeepRest; sinceMs: number | null } {
  const { atMs, tempC } = reading;
  if (rest.meanC === null || atMs - rest.atMs > gapMs || atMs < rest.atMs) {
    return { rest: { meanC: tempC, atMs, inSinceMs: null }, sinceMs: null };
  }
  rest.meanC += (tempC - rest.meanC) * (1 - Math.exp((rest.atMs - atMs) / smoothMs));
  rest.atMs = atMs;
  const { lowC, highC } = window;
  const inside = (lowC === null || rest.meanC >= lowC) && (highC === null || rest.meanC <= highC);
  const wavering = Math.abs(tempC - rest.meanC) > (inVessel === true ? wavers.vessel : wavers.air);
  rest.inSinceMs = inside && !wavering ? (rest.inSinceMs ?? atMs) : null;
  const neededMs = inVessel === false ? restMs.air : inVessel === null ? restMs.unknown : restMs.vessel;
  const rested = rest.inSinceMs !== null && atMs - rest.inSinceMs >= neededMs;
  return { rest, sinceMs: rested ? rest.inSinceMs : null };
}
