import type { Fluid } from './fluids.ts';
import { type Body, type Link, networkOf, tempC } from './heat-network.ts';
import { fillTub, roomToTub } from './ice-tub.ts';
import { fillJar, type Jar, milkToWall, wallToAir, wallToWater } from './jar.ts';
import type { Random } from './random.ts';
import { lagS } from './sensor.ts';

/** Where a jar's probe hangs: on its hook in the room, or in milk; and what it stands in then. */
export type Medium = { bodyC: number; lagS: number };

/** What surrounds the jars. */
export type Surroundings = { room: Body; air: Fluid; freezerAir: Body };

/**
 * One jar's day: every three hours milk comes warm from the animals, the probe goes in on the bench, the jar
 * goes to its cold place, and once it is cold enough (or has been long enough) it is put away and the probe
 * hung back on its hook.
 */
export type JarRounds = {
  /** Moves on by one second; `atMs` is the second's beginning. */
  step(atMs: number): void;
  /** Where the probe is. */
  medium(): Medium;
  /** True in the seconds in which somebody has the jar's cold place open. */
  doorOpen(atMs: number): boolean;
};

export const roundSpanMs = 3 * 3_600_000;
/** From the probe's insertion to the jar's place in the cold: lid on, carried over. */
const benchMs = 120_000;
const doorMs = 20_000;
/** A jar is put away at the latest after this. */
const chillMaxMs = 150 * 60_000;
/** Milk this cold is put away, after eight minutes more. */
const coldEnoughC = 2.5;
const lingerMs = 8 * 60_000;

type Chill = {
  sinceMs: number;
  jar: Jar;
  advance: (spanS: number) => void;
  inCold: boolean;
  coldAtMs: number | null;
};

/** Starts a jar's rounds; the first milk comes at `firstMs`, and nothing before it. */
export function startJarRounds(o: {
  place: 'ice-tub' | 'freezer';
  volumeL: number;
  firstMs: number;
  around: Surroundings;
  random: Random;
}): JarRounds {
  let chill: Chill | null = null;
  let nextMs = o.firstMs;
  let putAwayMs = Number.NEGATIVE_INFINITY;
  const begin = (atMs: number): Chill => {
    const milkC = 34.5 + 0.5 * o.random.gaussian();
    const jar = fillJar({ volumeL: o.volumeL, milkC, glassC: (milkC + tempC(o.around.room)) / 2 });
    const onBench = [milkToWall(jar), wallToAir(jar, o.around.room, o.around.air)];
    return { sinceMs: atMs, jar, advance: networkOf(onBench), inCold: false, coldAtMs: null };
  };
  return {
    step: (atMs) => {
      if (chill === null && atMs >= nextMs) {
        chill = begin(atMs);
        nextMs += roundSpanMs;
      }
      if (chill === null) return;
      if (!chill.inCold && atMs >= chill.sinceMs + benchMs) {
        chill = { ...chill, inCold: true, advance: networkOf(linksInCold(o.place, chill.jar, o.around)) };
      }
      chill.advance(1);
      if (chill.coldAtMs === null && tempC(chill.jar.milk) <= coldEnoughC) chill.coldAtMs = atMs;
      if (isDone(chill, atMs)) {
        chill = null;
        putAwayMs = atMs;
      }
    },
    medium: () =>
      chill === null
        ? { bodyC: tempC(o.around.room), lagS: lagS.air }
        : { bodyC: tempC(chill.jar.milk), lagS: lagS.liquid },
    doorOpen: (atMs) => {
      const placedMs = chill === null ? putAwayMs : chill.sinceMs + benchMs;
      return Math.abs(atMs - placedMs) < doorMs / 2;
    },
  };
}

function isDone(chill: Chill, atMs: number): boolean {
  if (atMs - chill.sinceMs >= chillMaxMs) return true;
  return chill.coldAtMs !== null && atMs - chill.coldAtMs >= lingerMs;
}

/** A fresh tub for each jar: 5 L of water with 2.5 kg of ice, enough to stay at 0 °C to the end. */
function linksInCold(place: 'ice-tub' | 'freezer', jar: Jar, around: Surroundings): Link[] {
  if (place === 'freezer') return [milkToWall(jar), wallToAir(jar, around.freezerAir, around.air)];
  const tub = fillTub({ waterKg: 5, iceKg: 2.5, startC: 0 });
  return [milkToWall(jar), wallToWater(jar, tub.bath, () => 0), roomToTub(tub, around.room, 1.2)];
}
