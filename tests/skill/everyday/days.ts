/** Plays one probe's days: readings as a daemon would get them, and the truth beside them. */
import { type Dice, openDice } from './dice.ts';
import { type HouseAir, openHouseAir } from './house-air.ts';
import { type Itinerary, planDays, type Stay } from './itinerary.ts';
import { type Jar, putJar, shakeJar, stepJar } from './jar.ts';
import { type Around, openProbe, type Probe, readProbe, stepProbe } from './probe.ts';
import { everydayWorld, type World } from './world.ts';

export type EverydayReading = { atMs: number; tempC: number };
/** One jar's time with the probe. `outMs` is null while the data ends before it. */
export type TrueChill = { intoMs: number; outMs: number | null; milkC: number };
export type Everyday = {
  readings: EverydayReading[];
  chills: TrueChill[];
  stays: Stay[];
  /** Spans without a reading, longer than five intervals. */
  gaps: { fromMs: number; toMs: number }[];
  probe: { everyS: number; lagS: number };
};

/** Where the simulated calendar begins: any instant will do. */
const originMs = 1_750_000_000_000;

export function playDays(options: {
  days: number;
  seed: number;
  everyS?: number;
  lagS?: number;
  world?: World;
}): Everyday {
  const world = options.world ?? everydayWorld;
  const dice = openDice(options.seed);
  const stepHouse = openHouseAir(openDice(options.seed + 1_000_003));
  const plan = planDays(dice, options.days, world);
  const probe = openProbe(dice, 20, world);
  if (options.everyS !== undefined) probe.everyS = options.everyS;
  if (options.lagS !== undefined) probe.lagS = options.lagS;
  const play = { plan, probe, dice, readings: [] as EverydayReading[], gaps: [] as Everyday['gaps'] };
  playSeconds(play, options.days * 86_400, stepHouse);
  return {
    readings: play.readings,
    chills: truth(plan),
    stays: plan.stays.map((stay) => stay),
    gaps: play.gaps,
    probe,
  };
}

type Play = {
  plan: Itinerary;
  probe: Probe;
  dice: Dice;
  readings: EverydayReading[];
  gaps: Everyday['gaps'];
};

function playSeconds(play: Play, endS: number, stepHouse: (atS: number) => HouseAir): void {
  const { plan, probe, dice } = play;
  const moves = [...plan.moves].sort((a, b) => a.atS - b.atS);
  const active = new Set<number>();
  let stay = 0;
  let move = 0;
  let nextReadS = 0;
  let silentToS = 0;
  let lastReadS = 0;
  for (let atS = 0; atS < endS; atS += 1) {
    const air = stepHouse(atS);
    while ((plan.stays[stay + 1]?.atS ?? Number.POSITIVE_INFINITY) <= atS) stay += 1;
    for (let due = moves[move]; due !== undefined && due.atS <= atS; due = moves[move]) {
      applyMove(plan.jars, active, due, dice);
      move += 1;
    }
    for (const index of active) {
      const jar = plan.jars[index];
      if (jar !== undefined) stepJar(jar, air);
    }
    const here = plan.stays[stay];
    if (here === undefined) continue;
    stepProbe(probe, aroundOf(here, atS, air, plan.jars), air.roomC - 6);
    if (atS < nextReadS) continue;
    nextReadS += probe.everyS;
    // Radio fades for minutes now and then, a little more often inside a freezer.
    if (atS > silentToS && dice.chance(probe.everyS / (here.where.kind === 'freezer' ? 20_000 : 40_000))) {
      silentToS = atS + dice.spread(20, 600);
    }
    if (atS < silentToS || dice.chance(0.002)) continue;
    if (atS - lastReadS > 5 * probe.everyS)
      play.gaps.push({ fromMs: originMs + lastReadS * 1000, toMs: originMs + atS * 1000 });
    lastReadS = atS;
    const isSpike = dice.chance(1e-5);
    play.readings.push({
      atMs: originMs + atS * 1000 + Math.round(dice.between(0, 200)),
      tempC: isSpike ? 85 : readProbe(probe, dice),
    });
  }
}

function applyMove(jars: Jar[], active: Set<number>, due: { jar: number; move: string }, dice: Dice): void {
  const jar = jars[due.jar];
  if (jar === undefined) return;
  active.add(due.jar);
  // Jars of two milkings ago have been drunk or poured together.
  for (const old of active) if (old < due.jar - 2) active.delete(old);
  if (due.move === 'shake') shakeJar(jar);
  else putJar(jar, due.move as Jar['place'], dice);
}

function aroundOf(stay: Stay, atS: number, air: HouseAir, jars: Jar[]): Around {
  const { where } = stay;
  switch (where.kind) {
    case 'milk': {
      const jar = jars[where.jar];
      const milkC = jar === undefined ? 0 : jar.bottomC + (jar.topC - jar.bottomC) * where.depth;
      const poured = where.pourS === 0 ? 1 : Math.min(1, (atS - stay.atS) / where.pourS);
      const share = 0.985 * poured;
      return {
        tempC: milkC * share + air.roomC * (1 - share),
        grip: 0.1 + 0.9 * poured,
        isWet: true,
        isAir: false,
      };
    }
    case 'hand':
      return { tempC: where.skinC, grip: where.grip, isWet: false, isAir: false };
    case 'pocket':
      return { tempC: air.roomC + (31 - air.roomC) * where.share, grip: 1.2, isWet: false, isAir: true };
    case 'water':
      return {
        tempC: where.startC - (where.perMinC * (atS - stay.atS)) / 60,
        grip: where.grip,
        isWet: true,
        isAir: false,
      };
    case 'fridge':
      return { tempC: air.fridgeC, grip: air.fridgeDraught, isWet: false, isAir: true };
    case 'freezer':
      return { tempC: air.freezerC, grip: 1, isWet: false, isAir: true };
    case 'sill':
      return { tempC: air.sillC, grip: 1, isWet: false, isAir: true };
    case 'stove':
      return { tempC: air.stoveC, grip: 1.3, isWet: false, isAir: true };
    case 'room':
      return { tempC: air.roomC, grip: 1, isWet: false, isAir: true };
    default:
      return where satisfies never;
  }
}

/** Out of the milk for no longer than this, and back into the same, is the same chill. */
const backWithinMs = 300_000;

/** Reads the truth off the plan: a fumble of seconds is one coming-in, counted from its first touch. */
function truth(plan: Itinerary): TrueChill[] {
  const chills: TrueChill[] = [];
  let openJar = -1;
  for (const { atS, where } of plan.stays) {
    const atMs = originMs + atS * 1000;
    const last = chills.at(-1);
    if (where.kind !== 'milk') {
      if (last !== undefined) last.outMs ??= atMs;
    } else if (last !== undefined && where.jar === openJar && atMs - (last.outMs ?? atMs) <= backWithinMs) {
      last.outMs = null;
    } else {
      openJar = where.jar;
      chills.push({ intoMs: atMs, outMs: null, milkC: plan.jars[openJar]?.bottomC ?? 0 });
    }
  }
  return chills;
}
