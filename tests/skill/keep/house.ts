/** Days of a fridge (and a freezer beside it) with people: doors, warm jars, and one fault. Readings and the truth. */
import { type Dice, openDice } from '../everyday/dice.ts';
import { type Box, fillBox, freezerMake, fridgeMake, type Goods, jarOf, stepBox } from './box.ts';

export type Fault = 'none' | 'compressor' | 'power' | 'ajar' | 'failing';
export type ProbeIn = 'air' | 'jar';

export type HouseOptions = {
  seed: number;
  days: number;
  fault: Fault;
  /** When the fault begins, in days; as soon as readings begin where there is none. */
  faultDay: number;
  probeIn: ProbeIn;
  doorsADay: number;
};

export type HouseReading = { probe: string; atMs: number; tempC: number };
export type House = {
  readings: HouseReading[];
  faultMs: number | null;
  /** When the noiseless milk passed the limit for good, or first; null where it never did. */
  leftMs: number | null;
  /** When the milk was last over the limit before the fault; null where it never was. */
  overBeforeMs: number | null;
  /** When the noiseless milk was over the limit, from and to, also where nothing was at fault. */
  overSpans: [number, number][];
  milkMostC: number;
  milkMeanC: number;
  volumeL: number;
  make: string;
};

const originMs = 1_750_000_000_000 - (1_750_000_000_000 % 86_400_000);
const spanS = 10;
export const limitC = 40 / 9;

type Hands = {
  doorFromS: number;
  doorToS: number;
  nextDoorS: number;
  nextLoadS: number;
  loads: { goods: Goods; outS: number }[];
};
type Sensor = {
  feltC: number;
  lagS: number;
  noiseC: number;
  stepC: number;
  everyS: number;
  offsetC: number;
  nextS: number;
};

/** Plays the days of one house; with a fault it ends two hours after the milk has left its window. */
export function playHouse(options: HouseOptions): House {
  const dice = openDice(options.seed);
  const noise = openDice(options.seed + 7_000_003);
  const volumeL = dice.pick([0.5, 0.95, 0.95, 1.9]);
  const milk = jarOf(dice, volumeL, 3);
  const fridge = settledFridge(dice, milk);
  const freezer = fillBox(
    freezerMake(dice),
    [{ tempC: -19, jPerK: dice.between(30_000, 70_000), wPerK: dice.between(5, 10) }],
    -19,
  );
  const room = { meanC: dice.between(16, 24), swingC: dice.between(0.5, 3) };
  const hands: Hands = {
    doorFromS: 0,
    doorToS: 0,
    nextDoorS: 6 * 3600,
    nextLoadS: dice.between(1, 12) * 3600,
    loads: [],
  };
  const sensor = openSensor(dice, options.probeIn === 'jar' ? milk.tempC : fridge.airC);
  const beside = openSensor(dice, freezer.airC);
  // A gap of 1 to 8 cm beside a door of 60 cm: what flows through goes with its width.
  const crack = dice.spread(0.03, 0.25);
  const failsS = dice.between(18, 60) * 3600;
  const weakest = dice.between(0, 0.12);
  const faultS = options.fault === 'none' ? Number.POSITIVE_INFINITY : options.faultDay * 86_400;
  const house: House = {
    readings: [],
    faultMs: options.fault === 'none' ? null : originMs + faultS * 1000,
    leftMs: null,
    overBeforeMs: null,
    overSpans: [],
    milkMostC: -100,
    milkMeanC: 0,
    volumeL,
    make: `${fridge.make.sense} ${fridge.make.defrostHours ?? 'no'} defrost`,
  };
  let sums = 0;
  for (let atS = 0; atS < options.days * 86_400; atS += spanS) {
    const roomC = room.meanC + room.swingC * Math.sin((2 * Math.PI * (atS / 3600 - 9)) / 24);
    const faulty = atS >= faultS;
    // Once the cooling has stopped people keep as they were for a while: nobody has noticed.
    act(hands, fridge, {
      atS,
      dice: noise,
      doorsADay: options.doorsADay,
      ajar: faulty && options.fault === 'ajar',
    });
    // It begins with somebody who opens it and does not shut it well.
    const ajar = faulty && options.fault === 'ajar' ? (atS < faultS + 20 ? 1 : crack) : 0;
    const doorOpen = Math.max(ajar, Math.min(1, (hands.doorToS - atS) / spanS));
    const failed = faulty && options.fault === 'failing' ? Math.min(1, (atS - faultS) / failsS) : 0;
    const stopped = faulty && options.fault === 'compressor';
    const power = !(faulty && options.fault === 'power');
    stepBox(fridge, { roomC, power, capacity: stopped ? 0 : 1 - failed * (1 - weakest), doorOpen }, spanS);
    stepBox(freezer, { roomC, power, capacity: 1, doorOpen: 0 }, spanS);
    sense(house, sensor, {
      probe: 'fridge',
      atS,
      tempC: options.probeIn === 'jar' ? milk.tempC : fridge.airC,
      dice: noise,
    });
    sense(house, beside, { probe: 'freezer', atS, tempC: freezer.airC, dice: noise });
    if (atS < 86_400 / 2) continue;
    sums += milk.tempC;
    house.milkMostC = Math.max(house.milkMostC, milk.tempC);
    if (milk.tempC > limitC) noteOver(house.overSpans, originMs + atS * 1000);
    if (milk.tempC > limitC && faulty) house.leftMs ??= originMs + atS * 1000;
    else if (milk.tempC > limitC) house.overBeforeMs = originMs + atS * 1000;
    if (house.leftMs !== null && originMs + atS * 1000 > house.leftMs + 2 * 3_600_000) break;
  }
  house.milkMeanC = sums / ((options.days * 86_400 - 43_200) / spanS);
  return house;
}

/** Lengthens the span that lasts, or begins one. */
function noteOver(spans: [number, number][], atMs: number): void {
  const last = spans.at(-1);
  if (last !== undefined && atMs - last[1] <= spanS * 1000) last[1] = atMs;
  else spans.push([atMs, atMs]);
}

/** A fridge run in for two days and set for milk: 34 to 37 °F in the mean. */
function settledFridge(dice: Dice, milk: Goods): Box {
  const make = fridgeMake(dice);
  const wantedC = dice.between(1.1, 2.8);
  const goods: Goods[] = [
    milk,
    { tempC: wantedC, jPerK: dice.between(15_000, 70_000), wPerK: dice.between(4, 12) },
  ];
  for (let jars = Math.floor(dice.between(0, 4)); jars > 0; jars--)
    goods.push(jarOf(dice, dice.spread(0.3, 2), wantedC));
  const box = fillBox(make, goods, wantedC);
  for (let tries = 0; tries < 3; tries++) {
    let sum = 0;
    let count = 0;
    for (let atS = 0; atS < 1.5 * 86_400; atS += spanS) {
      stepBox(box, { roomC: 20, power: true, capacity: 1, doorOpen: 0 }, spanS);
      if (atS < 43_200) continue;
      sum += milk.tempC;
      count += 1;
    }
    const offC = wantedC - sum / count;
    make.onC += make.sense === 'plate' ? 0 : offC;
    make.offC += make.sense === 'plate' ? 2.5 * offC : offC;
  }
  return box;
}

function act(
  hands: Hands,
  box: Box,
  now: { atS: number; dice: Dice; doorsADay: number; ajar: boolean },
): void {
  const { atS, dice } = now;
  const hour = (atS % 86_400) / 3600;
  const awake = hour > 5.5 && hour < 22.5;
  for (const load of hands.loads) if (atS >= load.outS) box.goods.splice(box.goods.indexOf(load.goods), 1);
  hands.loads = hands.loads.filter(({ outS }) => atS < outS);
  // A door that stands ajar is one that nobody comes by.
  if (!awake || now.ajar || now.doorsADay === 0) {
    hands.nextDoorS = Math.max(hands.nextDoorS, atS + 60);
    return;
  }
  if (atS < hands.nextDoorS) return;
  const forS = dice.spread(5, 75);
  hands.doorFromS = atS;
  hands.doorToS = atS + forS;
  hands.nextDoorS = atS + forS + (-Math.log(1 - dice.next()) * 17 * 3600) / now.doorsADay;
  if (atS < hands.nextLoadS) return;
  hands.nextLoadS = atS + dice.between(6, 20) * 3600;
  const goods = jarOf(dice, dice.spread(0.4, 2), dice.between(18, 34));
  box.goods.push(goods);
  hands.loads.push({ goods, outS: atS + dice.between(6, 30) * 3600 });
}

function openSensor(dice: Dice, startC: number): Sensor {
  return {
    feltC: startC,
    lagS: dice.spread(20, 240),
    noiseC: dice.between(0.01, 0.08),
    stepC: dice.pick([0.0625, 0.0625, 0.1, 0.125, 0.25]),
    everyS: dice.pick([5, 10, 15, 30, 60]),
    offsetC: dice.normal(0, 0.12),
    nextS: 0,
  };
}

function sense(
  house: House,
  sensor: Sensor,
  now: { probe: string; atS: number; tempC: number; dice: Dice },
): void {
  sensor.feltC += (now.tempC - sensor.feltC) * (1 - Math.exp(-spanS / sensor.lagS));
  if (now.atS < sensor.nextS) return;
  sensor.nextS = now.atS + sensor.everyS;
  if (now.dice.chance(0.003)) return;
  const rawC = sensor.feltC + sensor.offsetC + now.dice.normal(0, sensor.noiseC);
  house.readings.push({
    probe: now.probe,
    atMs: originMs + now.atS * 1000,
    tempC: Math.round(rawC / sensor.stepC) * sensor.stepC,
  });
}
