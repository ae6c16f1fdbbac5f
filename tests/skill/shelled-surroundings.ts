/** What stands around the jars of population 2: compressors that switch, baths with the ice away from the jar. */
import type { Dice } from './dice.ts';
import type { Scene } from './jar.ts';
import { openTwoPartBath } from './two-part-bath.ts';

/** What stands around a jar. */
export type Surroundings = {
  /** Film coefficient on the vessel for this difference, W/m²K. */
  film(overK: number): number;
  /** Lets time pass and returns °C around the vessel. */
  pass(heatW: number, stepS: number): number;
};

/** Draws what stands around a jar in such a scene. */
export function drawSurroundings(scene: Scene, roomC: number, volumeL: number, dice: Dice): Surroundings {
  switch (scene) {
    case 'ice':
      return drawIceBath(roomC, volumeL, dice);
    case 'cold water':
      return drawColdWater(roomC, volumeL, dice);
    case 'cellar':
      return { film: stillFilm(dice), pass: constant(dice.between(6, 15)) };
    case 'fridge':
      return drawCompressor({ setC: dice.between(1.5, 7), film: stillFilm(dice), roomC }, dice);
    case 'still freezer':
      return drawCompressor({ setC: dice.between(-23, -12), film: stillFilm(dice), roomC }, dice);
    case 'moving air':
      return drawCompressor(
        { setC: dice.between(-27, -9), film: constant(dice.logBetween(18, 62)), roomC },
        dice,
      );
  }
}

/** What always returns this value. */
export function constant(value: number): () => number {
  return () => value;
}

/** Natural convection with its quarter power beside linear radiation. */
export function stillFilm(dice: Dice): (overK: number) => number {
  const convection = dice.logBetween(1.5, 3.4);
  const radiation = dice.between(2.5, 5.4);
  return (overK) => convection * Math.max(0.1, Math.abs(overK)) ** 0.25 + radiation;
}

/** A cold plate that switches on and off, and the air that it cools through. */
function drawCompressor(
  of: { setC: number; film: (overK: number) => number; roomC: number },
  dice: Dice,
): Surroundings {
  const bandC = dice.between(0.8, 3.5);
  const plateToAirWPerK = dice.logBetween(4, 35);
  const coldPlateC = of.setC - dice.between(7, 18);
  const plateJPerK = dice.logBetween(4000, 30_000);
  const airJPerK = dice.logBetween(1500, 9000);
  const leakWPerK = dice.between(0.4, 1.6);
  const doorEveryS = dice.logBetween(1200, 20_000);
  const doorS = dice.between(15, 70);
  let running = dice.happens(0.5);
  let plateC = running ? coldPlateC + 2 : of.setC - 1;
  let airC = of.setC + dice.between(-1, 1) * bandC + dice.between(0, 3);
  let sinceDoorS = dice.share() * doorEveryS;
  return {
    film: of.film,
    pass: (heatW, stepS) => {
      if (airC > of.setC + bandC) running = true;
      if (airC < of.setC - bandC) running = false;
      sinceDoorS += stepS;
      if (sinceDoorS > doorEveryS) sinceDoorS = 0;
      const doorWPerK = sinceDoorS < doorS ? 30 : 0;
      const pullW = running ? 0.02 * plateJPerK * (plateC - coldPlateC) : 0;
      const betweenW = plateToAirWPerK * (airC - plateC);
      plateC += ((betweenW - pullW) * stepS) / (plateJPerK + plateToAirWPerK * stepS);
      const intoW = heatW - betweenW + (leakWPerK + doorWPerK) * (of.roomC - airC);
      airC += (intoW * stepS) / (airJPerK + (plateToAirWPerK + leakWPerK + doorWPerK) * stepS);
      return airC;
    },
  };
}

/** Water at the jar and water at the ice, which change places slowly unless it is stirred. */
function drawIceBath(roomC: number, volumeL: number, dice: Dice): Surroundings {
  const waterKg = volumeL * dice.logBetween(0.6, 4) + 0.4;
  const stirred = dice.happens(0.4);
  const turnoverWPerK = (stirred ? dice.logBetween(120, 600) : dice.logBetween(25, 160)) * waterKg ** 0.5;
  const meltWPerK = dice.logBetween(90, 700);
  const film = stirred ? dice.logBetween(300, 1000) : dice.logBetween(60, 220);
  const iceJ = 333_400 * waterKg * dice.between(0.1, 1.1);
  const nearC = dice.between(0.2, 5);
  const farC = dice.between(0.1, 2);
  const drawn = { waterKg, isStirred: stirred, turnoverWPerK, meltWPerK, film, iceJ, nearC, farC };
  return openTwoPartBath(drawn, roomC);
}

function drawColdWater(roomC: number, volumeL: number, dice: Dice): Surroundings {
  const sourceC = dice.between(3.5, 14);
  const flowWPerK = dice.happens(0.4) ? dice.logBetween(30, 600) : 0;
  const waterJPerK = 4190 * (volumeL * dice.logBetween(1, 12) + 0.5);
  const film = dice.logBetween(70, 500);
  let waterC = sourceC;
  return {
    film: constant(film),
    pass: (heatW, stepS) => {
      const intoW = heatW + flowWPerK * (sourceC - waterC) + 2 * (roomC - waterC);
      waterC += (intoW * stepS) / (waterJPerK + flowWPerK * stepS);
      return waterC;
    },
  };
}
