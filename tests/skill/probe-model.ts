/** How a probe sees the truth: lag, noise, steps, rhythm, gaps and now and then a wrong value. */
import type { Dice } from './dice.ts';
import { type JarTruth, limitC, readingsMin, type SkillJar, scenePlaces, truthStepS } from './jar.ts';

/** Reads a truth with a probe drawn from `dice`. */
export function readJar(id: string, truth: JarTruth, dice: Dice): SkillJar {
  return {
    id,
    scene: truth.scene,
    place: scenePlaces[truth.scene],
    volumeL: truth.volumeL,
    material: truth.material,
    readings: read(truth, dice),
    crossedMin: crossing(truth.milkC),
    moved: truth.moved,
    aroundC: eachMinute(truth.aroundC),
  };
}

function read(truth: JarTruth, dice: Dice): { atMs: number; tempC: number }[] {
  const lagS = dice.logBetween(4, 60);
  const everyS = Number(dice.pick({ 1: 1, 2: 1, 5: 1.5, 10: 1.5, 15: 1, 30: 1 }));
  const noiseC = dice.logBetween(0.01, 0.12);
  const stepC = Number(dice.pick({ 0.0625: 5, 0.1: 4, 0.5: 1.2 }));
  const biasC = 0.04 * dice.normal();
  const wildChance = dice.happens(0.1) ? 0.003 : 0;
  const gapFromS = dice.happens(0.15) ? dice.between(2, 40) * 60 : Number.POSITIVE_INFINITY;
  const gapToS = gapFromS + dice.logBetween(1, 9) * 60;
  const jitterS = dice.happens(0.4) ? 0.1 * everyS : 0;
  const readings: { atMs: number; tempC: number }[] = [];
  let probeC = truth.roomC;
  let seenS = 0;
  for (let dueS = dice.between(0, everyS); dueS < readingsMin * 60; dueS += everyS) {
    const atS = Math.max(0, dueS + jitterS * (dice.share() - 0.5));
    while (seenS + 1 <= atS) {
      seenS += 1;
      const milkC = truth.milkC[Math.floor(seenS / truthStepS)] as number;
      probeC += (milkC - probeC) * (1 - Math.exp(-1 / lagS));
    }
    if (atS > gapFromS && atS < gapToS) continue;
    let tempC = probeC + biasC + noiseC * dice.normal();
    if (dice.happens(wildChance)) tempC += dice.happens(0.5) ? dice.between(-12, 12) : 50;
    readings.push({ atMs: Math.round(atS * 1000), tempC: Math.round(tempC / stepC) * stepC });
  }
  return readings;
}

function eachMinute(aroundC: Float64Array): number[] {
  const perMinute = 60 / truthStepS;
  return Array.from({ length: readingsMin }, (_, place) => aroundC[place * perMinute] as number);
}

function crossing(milkC: Float64Array): number | null {
  const place = milkC.findIndex((tempC) => tempC <= limitC);
  return place < 0 ? null : (place * truthStepS) / 60;
}
