/** A probe in its sheath: two bodies in a row, sampled, rounded, now and then unheard. */
import type { Dice } from './dice.ts';

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
  /** Water left on the sheath: dries in air, and cools while it does. */
  wetS: number;
};

/** What is around the probe at one second. `grip`: exchange against that in still milk. */
export type Around = { tempC: number; grip: number; isWet: boolean; isAir: boolean };

export function openProbe(dice: Dice, startC: number): Probe {
  const lagS = dice.spread(4, 60);
  return {
    sheathC: startC,
    sensorC: startC,
    lagS,
    airSlowness: dice.between(7, 16),
    everyS: dice.pick([1, 2, 5, 10, 15, 30]),
    stepC: dice.pick([0.0625, 0.1, 0.125, 0.25, 0.5]),
    noiseC: dice.between(0.03, 0.1),
    offsetC: dice.normal(0, 0.2),
    wetS: 0,
  };
}

/** Moves the probe on by one second. */
export function stepProbe(probe: Probe, around: Around, wetBulbC: number): void {
  if (around.isWet) probe.wetS = 150;
  let { tempC, grip } = around;
  if (around.isAir) {
    grip /= probe.airSlowness;
    if (probe.wetS > 0) {
      probe.wetS -= 1;
      grip *= 1.6;
      tempC = Math.min(tempC, tempC + (wetBulbC - tempC) * 0.7);
    }
  }
  probe.sheathC += (tempC - probe.sheathC) * (1 - Math.exp(-grip / (0.75 * probe.lagS)));
  probe.sensorC += (probe.sheathC - probe.sensorC) * (1 - Math.exp(-1 / (0.25 * probe.lagS)));
}

export function readProbe(probe: Probe, dice: Dice): number {
  const tempC = probe.sensorC + probe.offsetC + dice.normal(0, probe.noiseC);
  return Math.round(tempC / probe.stepC) * probe.stepC;
}
