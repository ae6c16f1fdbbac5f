/** A probe in its sheath: two bodies in a row, sampled, rounded, now and then unheard. */
import type { Dice } from './dice.ts';
import type { World } from './world.ts';

export type Probe = {
  sheathC: number;
  sensorC: number;
  /** Time to 63 % in still milk. */
  lagS: number;
  /** How much slower the sheath is in still air than in milk. */
  airSlowness: number;
  everyS: number;
  stepC: number;
  noiseC: number;
  offsetC: number;
  /** What share of the lag is the sensor's inside its sheath. */
  inside: number;
  /** How long a wet sheath takes to dry. */
  driesS: number;
  /** Water left on the sheath: dries in air, and cools while it does. */
  wetS: number;
};

/** What is around the probe at one second. `grip`: exchange against that in still milk. */
export type Around = { tempC: number; grip: number; isWet: boolean; isAir: boolean };

export function openProbe(dice: Dice, startC: number, world: World): Probe {
  return {
    sheathC: startC,
    sensorC: startC,
    lagS: dice.spread(...world.lagS),
    airSlowness: dice.between(...world.airSlowness),
    everyS: dice.pick(world.everyS),
    stepC: dice.pick(world.stepC),
    noiseC: dice.between(...world.noiseC),
    offsetC: dice.normal(0, 0.2),
    inside: dice.between(...world.inside),
    driesS: dice.between(...world.driesS),
    wetS: 0,
  };
}

/** Moves the probe on by one second. */
export function stepProbe(probe: Probe, around: Around, wetBulbC: number): void {
  if (around.isWet) probe.wetS = probe.driesS;
  let { tempC, grip } = around;
  if (around.isAir) {
    grip /= probe.airSlowness;
    if (probe.wetS > 0) {
      probe.wetS -= 1;
      grip *= 1.6;
      tempC = Math.min(tempC, tempC + (wetBulbC - tempC) * 0.7);
    }
  }
  probe.sheathC += (tempC - probe.sheathC) * (1 - Math.exp(-grip / ((1 - probe.inside) * probe.lagS)));
  probe.sensorC += (probe.sheathC - probe.sensorC) * (1 - Math.exp(-1 / (probe.inside * probe.lagS)));
}

export function readProbe(probe: Probe, dice: Dice): number {
  const tempC = probe.sensorC + probe.offsetC + dice.normal(0, probe.noiseC);
  return Math.round(tempC / probe.stepC) * probe.stepC;
}
