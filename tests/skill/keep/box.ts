/** A fridge or freezer by its parts: air, lining, plate, compressor or none, jars and food. Apart from the estimator's physics. */
import type { Dice } from '../everyday/dice.ts';

/** What stands in the box: heat capacity, J/K, and exchange with the air, W/K. */
export type Goods = { tempC: number; jPerK: number; wPerK: number };

export type BoxMake = {
  airJPerK: number;
  liningJPerK: number;
  plateJPerK: number;
  airToLining: number;
  liningToRoom: number;
  airToPlate: number;
  /** Exchange with the plate while the fan rests, as a share. */
  restShare: number;
  coolingW: number;
  doorWPerK: number;
  sense: 'air' | 'plate';
  onC: number;
  offC: number;
  /** Hours between defrosts; null for a box without. */
  defrostHours: number | null;
  heaterW: number;
};

export type Box = {
  make: BoxMake;
  airC: number;
  liningC: number;
  plateC: number;
  senseC: number;
  goods: Goods[];
  running: boolean;
  /** Seconds of the defrost still to come; 0 while it does not. */
  defrostS: number;
  sinceDefrostS: number;
};

/** What is done to a box in one step. */
export type Doing = { roomC: number; power: boolean; capacity: number; doorOpen: number };

/** A jar of `volumeL`: surface of an upright jar by a coefficient from still to moving air. */
export function jarOf(dice: Dice, volumeL: number, tempC: number): Goods {
  const areaM2 = 0.056 * volumeL ** (2 / 3);
  return { tempC, jPerK: 4000 * volumeL, wPerK: areaM2 * dice.spread(8, 22) };
}

export function fridgeMake(dice: Dice): BoxMake {
  const frostFree = dice.chance(0.6);
  const middleC = dice.between(1.8, 3.4);
  const halfC = dice.between(1, 2.4);
  const plate = !frostFree && dice.chance(0.6);
  return {
    airJPerK: dice.between(1500, 5000),
    liningJPerK: dice.between(9_000, 26_000),
    plateJPerK: dice.between(1500, 5000),
    airToLining: dice.between(7, 16),
    liningToRoom: dice.between(0.9, 2),
    airToPlate: frostFree ? dice.between(9, 16) : dice.between(4, 7),
    restShare: frostFree ? dice.between(0.1, 0.25) : 1,
    coolingW: dice.between(55, 105),
    doorWPerK: dice.between(25, 70),
    sense: plate ? 'plate' : 'air',
    onC: plate ? 3.5 : middleC + halfC,
    offC: plate ? dice.between(-17, -11) : middleC - halfC,
    defrostHours: frostFree ? dice.pick([8, 12, 24]) : null,
    heaterW: dice.between(90, 180),
  };
}

export function freezerMake(dice: Dice): BoxMake {
  return {
    ...fridgeMake(dice),
    liningJPerK: dice.between(15_000, 30_000),
    liningToRoom: dice.between(0.7, 1.3),
    airToPlate: dice.between(8, 14),
    restShare: 1,
    coolingW: dice.between(90, 160),
    doorWPerK: dice.between(8, 25),
    sense: 'air',
    onC: dice.between(-18, -16.5),
    offC: dice.between(-22, -19.5),
    defrostHours: null,
  };
}

export function fillBox(make: BoxMake, goods: Goods[], startC: number): Box {
  return {
    make,
    airC: startC,
    liningC: startC,
    plateC: startC - 4,
    senseC: startC,
    goods,
    running: false,
    defrostS: 0,
    sinceDefrostS: 0,
  };
}

/** Moves a box on by `spanS` seconds, 10 at the most; in shorter steps while a door is open. */
export function stepBox(box: Box, doing: Doing, spanS: number): void {
  const parts = doing.doorOpen > 0 ? 4 : 1;
  for (let part = 0; part < parts; part++) stepPart(box, doing, spanS / parts);
}

function stepPart(box: Box, doing: Doing, spanS: number): void {
  const { make } = box;
  thermostat(box, doing, spanS);
  const defrosting = box.defrostS > 0 && doing.power;
  const runs = box.running && doing.power && !defrosting;
  const fan = make.restShare === 1 || runs ? 1 : make.restShare;
  const toPlate = make.airToPlate * fan * (box.plateC - box.airC);
  const toLining = make.airToLining * (box.liningC - box.airC);
  const fromRoom = doing.doorOpen * make.doorWPerK * (doing.roomC - box.airC);
  let toAir = toPlate + toLining + fromRoom;
  for (const goods of box.goods) {
    const watts = goods.wPerK * (box.airC - goods.tempC);
    goods.tempC += (watts * spanS) / goods.jPerK;
    toAir -= watts;
  }
  // A compressor lifts less the colder its plate.
  const lifts = runs ? make.coolingW * doing.capacity * Math.max(0, 1 + 0.022 * (box.plateC + 10)) : 0;
  const heater = defrosting && box.plateC < 9 ? make.heaterW : 0;
  box.airC += (toAir * spanS) / make.airJPerK;
  box.plateC += ((heater - lifts - toPlate) * spanS) / make.plateJPerK;
  box.liningC += ((make.liningToRoom * (doing.roomC - box.liningC) - toLining) * spanS) / make.liningJPerK;
}

function thermostat(box: Box, { power }: Doing, spanS: number): void {
  const { make } = box;
  const felt = make.sense === 'plate' ? box.plateC : box.airC;
  box.senseC += (felt - box.senseC) * (1 - Math.exp(-spanS / 200));
  if (box.senseC > make.onC) box.running = true;
  if (box.senseC < make.offC) box.running = false;
  if (!power || make.defrostHours === null) return;
  box.defrostS = Math.max(0, box.defrostS - spanS);
  box.sinceDefrostS += spanS;
  if (box.sinceDefrostS < make.defrostHours * 3600) return;
  box.sinceDefrostS = 0;
  box.defrostS = 22 * 60;
}
