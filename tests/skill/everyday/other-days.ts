/**
 * A second everyday world, made of other parts than days.ts, to judge by only: nothing is learned or tuned on
 * it. Probes are chains of equal bodies with an air lag of their own, jars cool by Newton's law from a soft
 * beginning and wander a little, milk is also poured over a probe that stands in the empty jar, the air of
 * rooms and boxes goes in waves and sawteeth, and a household keeps to a few habits of its own.
 */
import type { Everyday, EverydayReading, TrueChill } from './days.ts';
import { type Dice, openDice } from './dice.ts';
import type { Stay } from './itinerary.ts';

/** What is around the probe from `atS` on: by a lag of its own where it is no liquid. */
type Scene = { atS: number; why: string; aroundC: (atS: number) => number; lagOf: 'liquid' | 'air' | 'skin' };

type Household = {
  dice: Dice;
  air: (atS: number) => number;
  fridge: (atS: number) => number;
  freezer: (atS: number) => number;
  lives: 'hook' | 'fridge' | 'freezer';
  rinses: number;
  bath: number;
  pours: boolean;
  secondJar: number;
  stays: number;
};

const originMs = 1_750_000_000_000;
const dayS = 86_400;
const backWithinS = 300;

/** Plays `days` of another household, with the truth beside the readings. */
export function playOtherDays({ days, seed }: { days: number; seed: number }): Everyday {
  const dice = openDice(seed * 7919 + 13);
  const scenes: Scene[] = [];
  const chills: TrueChill[] = [];
  const house = openHousehold(dice);
  let atS = 0;
  const go = (scene: Omit<Scene, 'atS'>, forS: number) => {
    scenes.push({ atS: Math.round(atS), ...scene });
    atS += Math.max(1, Math.round(forS));
  };
  const home = () => {
    const around = house.lives === 'hook' ? house.air : house[house.lives];
    go({ why: 'home', aroundC: around, lagOf: 'air' }, 1);
  };
  home();
  for (let day = 0; day < days; day += 1) {
    for (const hour of [dice.between(5, 7.5), dice.between(16.5, 19)]) {
      const milkingS = day * dayS + hour * 3600;
      for (;;) {
        const nextS = atS + dice.spread(1500, 15_000);
        if (nextS > milkingS - 900) break;
        atS = nextS;
        if (scenes.at(-1)?.why === 'milk') leave(house, go);
        else errand(house, go);
        home();
      }
      atS = Math.max(atS + 60, milkingS);
      prepare(house, go);
      const jars = dice.chance(house.secondJar) ? 2 : 1;
      for (let jar = 0; jar < jars; jar += 1) {
        if (jar > 0) go({ why: 'to the next jar', aroundC: house.air, lagOf: 'air' }, dice.spread(3, 40));
        fill(house, go, { atS: () => atS, chills });
        atS += jar + 1 < jars ? dice.spread(400, 5000) : dice.spread(3000, 20_000);
      }
      if (!dice.chance(house.stays)) {
        leave(house, go);
        home();
      }
    }
  }
  closeChills(chills, scenes);
  return { ...readDays(dice, scenes, days * dayS), chills };
}

function openHousehold(dice: Dice): Household {
  const meanC = dice.between(12, 24);
  const swingC = dice.between(0.5, 4);
  const heats = dice.chance(0.5);
  const wave = (low: number, high: number, periodS: number) => (atS: number) => {
    const part = (atS % periodS) / periodS;
    return part < 0.35 ? high - ((high - low) * part) / 0.35 : low + ((high - low) * (part - 0.35)) / 0.65;
  };
  const saw = wave(-0.6, 0.6, dice.between(1500, 4000));
  return {
    dice,
    air: (atS) => meanC + swingC * Math.sin((2 * Math.PI * (atS / 3600 - 9.5)) / 24) + (heats ? saw(atS) : 0),
    fridge: wave(dice.between(1, 3.5), dice.between(4.5, 8), dice.between(1300, 3600)),
    freezer: wave(dice.between(-23, -20), dice.between(-18, -15), dice.between(1500, 4500)),
    lives: dice.pick(['hook', 'hook', 'hook', 'fridge', 'freezer'] as const),
    rinses: dice.between(0.3, 1),
    bath: dice.chance(0.3) ? dice.between(18, 26) : 0,
    pours: dice.chance(0.35),
    secondJar: dice.between(0, 0.4),
    stays: dice.between(0, 0.6),
  };
}

type Go = (scene: Omit<Scene, 'atS'>, forS: number) => void;

function touch({ dice, air }: Household, go: Go, mostS: number): void {
  const skinC = dice.between(29, 34.5);
  go(
    { why: 'hand', aroundC: (atS) => air(atS) + (skinC - air(atS)) * 0.9, lagOf: 'skin' },
    dice.spread(3, mostS),
  );
}

function rinse({ dice, bath }: Household, go: Go): void {
  const tapC = dice.pick([dice.between(38, 62), dice.between(9, 17), dice.between(28, 40)]);
  // The tap runs cold at first, and warm later.
  const fromC = tapC > 25 && dice.chance(0.5) ? dice.between(14, 20) : tapC;
  let beganS = -1;
  const aroundC = (atS: number) => {
    if (beganS < 0) beganS = atS;
    return tapC + (fromC - tapC) * Math.exp(-(atS - beganS) / 6);
  };
  go({ why: `rinse${tapC.toFixed(0)}`, aroundC, lagOf: 'liquid' }, dice.spread(4, 75));
  if (bath > 0) go({ why: 'bath', aroundC: () => bath, lagOf: 'liquid' }, dice.between(20, 120));
}

function prepare(house: Household, go: Go): void {
  const { dice } = house;
  if (dice.chance(0.7)) touch(house, go, 25);
  if (dice.chance(house.rinses)) rinse(house, go);
  go({ why: 'wait', aroundC: house.air, lagOf: 'air' }, dice.spread(4, 500));
  if (dice.chance(0.4)) touch(house, go, 15);
}

function fill(house: Household, go: Go, { atS, chills }: { atS: () => number; chills: TrueChill[] }): void {
  const { dice } = house;
  const milkC = dice.between(30, 38);
  const intoS = Math.round(atS());
  const kind = dice.pick(['fridge', 'freezer', 'fan', 'ice', 'stirred', 'room'] as const);
  const tauMin = {
    fridge: [60, 240],
    freezer: [45, 150],
    fan: [20, 50],
    ice: [9, 28],
    stirred: [4, 12],
    room: [150, 400],
  }[kind] as [number, number];
  const around = {
    fridge: house.fridge,
    freezer: house.freezer,
    fan: house.freezer,
    ice: () => 0.5,
    stirred: () => 0.2,
    room: house.air,
  }[kind];
  const tauS = dice.spread(...tauMin) * 60;
  const benchS = dice.chance(0.3) ? dice.between(2, 15) : dice.between(15, 900);
  const softS = dice.between(10, 120);
  const wander = dice.between(0, 0.06);
  const pourS = house.pours ? dice.between(4, 25) : 0;
  let milk = milkC;
  let wandered = 0;
  let steppedS = intoS;
  const aroundC = (now: number) => {
    for (; steppedS < now; steppedS += 1) {
      const cold = steppedS - intoS - benchS;
      const onset = cold <= 0 ? 0 : 1 - Math.exp(-cold / softS);
      const bench = (house.air(steppedS) - milk) / 12_000;
      milk += cold <= 0 ? bench : (onset * (around(steppedS) - milk)) / tauS;
      wandered += -wandered / 60 + dice.normal(0, wander * 0.18);
    }
    const level = milk + wandered;
    const poured = pourS === 0 ? 1 : Math.min(1, (now - intoS) / pourS);
    return house.air(now) + (level - house.air(now)) * poured;
  };
  chills.push({ intoMs: originMs + intoS * 1000, outMs: null, milkC });
  go({ why: 'milk', aroundC, lagOf: 'liquid' }, 1);
}

function leave(house: Household, go: Go): void {
  const { dice } = house;
  if (dice.chance(0.6)) go({ why: 'lifted', aroundC: house.air, lagOf: 'air' }, dice.spread(3, 300));
  if (dice.chance(0.4)) touch(house, go, 20);
  if (dice.chance(house.rinses)) rinse(house, go);
}

function errand(house: Household, go: Go): void {
  const { dice, air } = house;
  const where = dice.pick(['touched', 'rinsed', 'fridge', 'freezer', 'sun', 'pocket', 'warm room'] as const);
  const stay = (why: string, aroundC: (atS: number) => number, forS: number) =>
    go({ why, aroundC, lagOf: 'air' }, forS);
  if (where !== 'rinsed' && dice.chance(0.6)) touch(house, go, 60);
  if (where === 'rinsed') rinse(house, go);
  else if (where === 'fridge' || where === 'freezer') stay(where, house[where], dice.spread(120, 5000));
  else if (where === 'sun') {
    const sunC = dice.between(3, 16);
    stay('sun', (atS) => air(atS) + sunC * (0.8 + 0.2 * Math.sin(atS / 300)), dice.spread(300, 4000));
  } else if (where === 'pocket') stay('pocket', (atS) => 0.35 * air(atS) + 0.65 * 32, dice.spread(60, 1500));
  else if (where === 'warm room') {
    const warmC = dice.between(22, 29);
    stay('warm room', () => warmC, dice.spread(300, 4000));
  }
}

/** A jar's time with the probe ends at the next scene that is no part of it. */
function closeChills(chills: TrueChill[], scenes: readonly Scene[]): void {
  for (const chill of chills) {
    const intoS = (chill.intoMs - originMs) / 1000;
    const next = scenes.find(({ atS, why }) => atS > intoS && why !== 'milk');
    const nextJar = scenes.find(({ atS, why }) => atS > intoS + backWithinS && why === 'milk');
    const outS = Math.min(next?.atS ?? Infinity, nextJar?.atS ?? Infinity);
    chill.outMs = outS === Infinity ? null : originMs + outS * 1000;
  }
}

function readDays(dice: Dice, scenes: readonly Scene[], endS: number): Omit<Everyday, 'chills'> {
  const lagS = dice.spread(5, 45);
  const bodies = dice.pick([1, 1, 2, 3]);
  const airLagS = Math.max(dice.spread(70, 320), 3 * lagS);
  const skinLagS = lagS * dice.between(1.5, 5);
  const everyS = dice.pick([2, 3, 4, 8, 12, 20]);
  const stepC = dice.pick([0.01, 0.0625, 0.1, 0.2, 0.5]);
  const noiseC = dice.between(0.01, 0.08);
  const offC = dice.normal(0, 0.25);
  const chain = new Array<number>(bodies).fill(scenes[0]?.aroundC(0) ?? 20);
  const readings: EverydayReading[] = [];
  const gaps: Everyday['gaps'] = [];
  let scene = 0;
  let nextS = 0;
  for (let atS = 0; atS < endS; atS += 1) {
    while ((scenes[scene + 1]?.atS ?? Infinity) <= atS) scene += 1;
    const here = scenes[scene] as Scene;
    const around = here.aroundC(atS);
    const lag = here.lagOf === 'liquid' ? lagS : here.lagOf === 'skin' ? skinLagS : airLagS;
    // In air the sheath is slow; inside it heat goes as fast as ever.
    for (let body = 0; body < bodies; body += 1) {
      const own = body === 0 ? Math.max(0.5, lag - (lagS * (bodies - 1)) / bodies) : lagS / bodies;
      const outside = body === 0 ? around : (chain[body - 1] as number);
      chain[body] = (chain[body] as number) + (outside - (chain[body] as number)) * (1 - Math.exp(-1 / own));
    }
    if (atS < nextS) continue;
    nextS = atS + Math.max(1, Math.round(everyS + dice.normal(0, 0.05 * everyS)));
    if (dice.chance(0.003)) continue;
    if (dice.chance(everyS / 60_000)) {
      const silentS = dice.spread(20, 400);
      if (silentS > 5 * everyS)
        gaps.push({ fromMs: originMs + atS * 1000, toMs: originMs + (atS + silentS) * 1000 });
      nextS = Math.round(atS + silentS);
    }
    const tempC = (chain[bodies - 1] as number) + offC + dice.normal(0, noiseC);
    readings.push({ atMs: originMs + atS * 1000, tempC: Math.round(tempC / stepC) * stepC });
  }
  const stays = scenes.map(({ atS, why }) => ({ atS, why, where: { kind: 'room' } }) as Stay);
  return { readings, stays, gaps, probe: { everyS, lagS } };
}
