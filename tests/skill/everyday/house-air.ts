/** The air of a small house through the days: room, sill in the sun, stove corner, fridge and freezer. */
import type { Dice } from './dice.ts';

export type HouseAir = {
  roomC: number;
  /** What a thing lying in the window feels. */
  sillC: number;
  /** Above the stove's edge. */
  stoveC: number;
  fridgeC: number;
  freezerC: number;
  /** Relative: how fast the fridge's air moves now. */
  fridgeDraught: number;
  /** Instants (s) until which a door stands open. */
  fridgeOpenToS: number;
  freezerOpenToS: number;
};

const dayS = 86_400;
const hourOf = (atS: number) => (atS % dayS) / 3600;

type ColdBox = { airC: number; goodsC: number; cooling: boolean };
type BoxMake = { onC: number; offC: number; coilC: number; coilS: number };

/** Returns a stepper: called once a second of house time, it gives that second's air. */
export function openHouseAir(dice: Dice): (atS: number) => HouseAir {
  const yearMeanC = dice.between(-2, 27);
  const swingC = dice.between(3, 9);
  const heatedToC = dice.between(15, 20);
  const clearness = dice.between(0.2, 0.9);
  const fridgeMake: BoxMake = {
    onC: dice.between(4.5, 7.5),
    offC: dice.between(1, 3),
    coilC: -12,
    coilS: 260,
  };
  const freezerMake: BoxMake = {
    onC: dice.between(-17, -15),
    offC: dice.between(-22, -19.5),
    coilC: -30,
    coilS: 400,
  };
  const fridge: ColdBox = { airC: 5, goodsC: 4.5, cooling: false };
  const freezer: ColdBox = { airC: -18, goodsC: -18.5, cooling: false };
  const air: HouseAir = {
    roomC: Math.max(heatedToC, yearMeanC),
    sillC: 20,
    stoveC: 20,
    fridgeC: 5,
    freezerC: -18,
    fridgeDraught: 1,
    fridgeOpenToS: 0,
    freezerOpenToS: 0,
  };
  let weatherC = 0;
  let wallsC = air.roomC;
  let draughtC = 0;
  let cloud = 0.5;
  let stoveOnToS = 0;
  return (atS) => {
    if (atS % 60 === 0) {
      weatherC += -weatherC / 2880 + dice.normal(0, 0.06);
      cloud = Math.min(1, Math.max(0, cloud + (1 - clearness - cloud) / 90 + dice.normal(0, 0.06)));
      // Cooking and door openings keep to waking hours.
      const awake = hourOf(atS) > 5.5 && hourOf(atS) < 22;
      if (awake && dice.chance(1 / 300)) stoveOnToS = atS + dice.between(900, 5400);
      if (awake && dice.chance(1 / 45)) air.fridgeOpenToS = atS + dice.spread(5, 90);
      if (awake && dice.chance(1 / 200)) air.freezerOpenToS = atS + dice.spread(8, 120);
    }
    const outC = yearMeanC + weatherC + swingC * Math.sin((2 * Math.PI * (hourOf(atS) - 9)) / 24);
    const stoveOn = atS < stoveOnToS;
    // The house follows the weather over hours, is heated from below and warmed by cooking.
    wallsC += (outC + 2 - wallsC) / 36_000 + (wallsC < heatedToC ? 0.0012 : 0);
    draughtC += -draughtC / 150 + dice.normal(0, 0.02);
    const aimC = wallsC + (stoveOn ? 2.5 : 0) + draughtC;
    air.roomC += (aimC - air.roomC) / 400;
    const height = Math.sin((Math.PI * (hourOf(atS) - 7)) / 11);
    air.sillC = air.roomC + (height > 0 ? 20 * height * (1 - cloud) : -1);
    air.stoveC = air.roomC + (stoveOn ? 14 + 3 * Math.sin(atS / 37) : 0);
    stepBox(fridge, fridgeMake, air.roomC, atS < air.fridgeOpenToS);
    stepBox(freezer, freezerMake, air.roomC, atS < air.freezerOpenToS);
    air.fridgeC = fridge.airC;
    air.freezerC = freezer.airC;
    air.fridgeDraught = fridge.cooling ? 1.5 : 1;
    return air;
  };
}

function stepBox(box: ColdBox, make: BoxMake, roomC: number, open: boolean): void {
  if (box.airC > make.onC) box.cooling = true;
  if (box.airC < make.offC) box.cooling = false;
  const fromCoil = box.cooling ? (make.coilC - box.airC) / make.coilS : 0;
  const fromRoom = (roomC - box.airC) / (open ? 45 : 3000);
  box.airC += fromCoil + fromRoom + (box.goodsC - box.airC) / 240;
  box.goodsC += (box.airC - box.goodsC) / 9000;
}
