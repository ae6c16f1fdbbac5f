/** Where one probe is through the days: two milkings a day, and everything else that happens to it. */
import type { Dice } from './dice.ts';
import { fillJar, type Jar, type JarPlace } from './jar.ts';
import type { World } from './world.ts';

export type Whereabouts =
  | { kind: 'room' | 'sill' | 'stove' | 'fridge' | 'freezer' }
  | { kind: 'hand'; skinC: number; grip: number }
  | { kind: 'pocket'; share: number }
  | { kind: 'water'; startC: number; perMinC: number; grip: number }
  | { kind: 'milk'; jar: number; depth: number; pourS: number };

/** From `atS` on the probe is there. */
export type Stay = { atS: number; where: Whereabouts; why: string };
/** What happens to a jar. */
export type JarMove = { atS: number; jar: number; move: JarPlace | 'shake' };
export type Itinerary = { stays: Stay[]; jars: Jar[]; moves: JarMove[] };

const dayS = 86_400;

/** Returns `days` of one probe's life in a world of such habits. */
export function planDays(dice: Dice, days: number, world: World): Itinerary {
  const plan: Itinerary = { stays: [{ atS: 0, where: { kind: 'room' }, why: 'rack' }], jars: [], moves: [] };
  const walk: Walk = { plan, dice, world, atS: 0, home: { kind: 'room' } };
  for (let day = 0; day < days; day += 1) {
    for (const [hour, scatter] of world.milkings) {
      const milkingS = Math.round(day * dayS + dice.normal(hour, scatter) * 3600);
      errandsUntil(walk, milkingS - 900);
      if (walk.atS < milkingS) walk.atS = milkingS;
      chill(walk);
    }
  }
  errandsUntil(walk, days * dayS - 60);
  return plan;
}

type Walk = { plan: Itinerary; dice: Dice; world: World; atS: number; home: Whereabouts };

function go(walk: Walk, where: Whereabouts, why: string, forS: number): void {
  walk.plan.stays.push({ atS: Math.round(walk.atS), where, why });
  walk.atS = Math.round(walk.atS + Math.max(1, forS));
}

function chill(walk: Walk): void {
  const { dice, world } = walk;
  prepare(walk);
  const jars = dice.chance(world.secondJar) ? 2 : 1;
  for (let nth = 1; nth <= jars; nth += 1) {
    const intoS = Math.round(walk.atS);
    const staysToNext = nth === jars && dice.chance(world.staysToNext);
    const spanS = nth < jars ? world.secondJarS : world.stayS;
    const stayS = staysToNext ? world.stayS[1] : dice.spread(...spanS);
    fill(walk, stayS);
    walk.atS = intoS + stayS;
    if (nth < jars) go(walk, { kind: 'room' }, 'to the next jar', dice.spread(3, 60));
    else if (!staysToNext) takeOut(walk);
  }
}

/** The probe comes into a fresh jar, or the milk over the probe, and the jar goes its way. */
function fill(walk: Walk, stayS: number): void {
  const { dice, plan, world } = walk;
  const jar = plan.jars.length;
  plan.jars.push(fillJar(dice, world.milkC));
  const intoS = Math.round(walk.atS);
  const depth = dice.between(0.1, 0.9);
  const pourS = dice.chance(world.pours) ? dice.spread(...world.pourS) : 0;
  if (pourS === 0 && dice.chance(0.1)) {
    // A fumble: in, out to look, in again.
    go(walk, { kind: 'milk', jar, depth, pourS }, 'milk', dice.between(3, 8));
    go(walk, { kind: 'room' }, 'fumble', dice.between(2, 6));
  }
  go(walk, { kind: 'milk', jar, depth, pourS }, 'milk', 1);
  const benchS = dice.chance(0.35) ? dice.between(3, 20) : dice.between(20, 720);
  plan.moves.push({ atS: intoS, jar, move: 'table' });
  plan.moves.push({ atS: intoS + benchS, jar, move: dice.pick(places) });
  if (dice.chance(0.12)) {
    plan.moves.push({
      atS: intoS + benchS + dice.between(300, 3000),
      jar,
      move: dice.pick(['still-ice', 'stirred-ice', 'fridge']),
    });
  }
  const shakes = dice.chance(0.4) ? Math.ceil(dice.between(0, 5)) : 0;
  for (let shake = 0; shake < shakes; shake += 1) {
    plan.moves.push({ atS: intoS + dice.between(60, 7200), jar, move: 'shake' });
  }
  plan.moves.push({ atS: intoS + dice.between(4500, 9000), jar, move: 'fridge' });
  if (dice.chance(0.12)) standAside(walk, jar, { intoS, stayS });
  if (dice.chance(0.12)) lookAt(walk, jar, { intoS, stayS, depth });
}

const places: readonly JarPlace[] = [
  'fridge',
  'freezer',
  'freezer',
  'windy-freezer',
  'still-ice',
  'stirred-ice',
  'tap-water',
];

/** The jar with its probe is taken out for a while and put back: milk that warms is still that milk. */
function standAside(walk: Walk, jar: number, { intoS, stayS }: { intoS: number; stayS: number }): void {
  const { dice, plan } = walk;
  const fromS = intoS + stayS * dice.between(0.3, 0.7);
  plan.moves.push({ atS: fromS, jar, move: 'table' });
  plan.moves.push({ atS: fromS + dice.spread(60, 900), jar, move: dice.pick(['fridge', 'freezer']) });
}

/** The probe is lifted out, looked at, and put back into the same milk. */
function lookAt(
  walk: Walk,
  jar: number,
  { intoS, stayS, depth }: { intoS: number; stayS: number; depth: number },
): void {
  const { dice } = walk;
  walk.atS = intoS + stayS * dice.between(0.15, 0.8);
  if (dice.chance(0.4)) hold(walk, dice.spread(2, 15));
  go(walk, { kind: 'room' }, 'looked at', dice.spread(3, 90));
  go(walk, { kind: 'milk', jar, depth, pourS: 0 }, 'put back', 1);
}

/** What is done to the probe in the minutes before it goes into the milk. */
function prepare(walk: Walk): void {
  const { dice } = walk;
  // Straight from where it was, the next jar beside the last one.
  if (dice.chance(0.2)) {
    go(walk, { kind: 'room' }, 'lifted', dice.spread(3, 60));
    return;
  }
  if (dice.chance(0.5)) hold(walk, dice.spread(3, 60));
  if (dice.chance(0.6)) {
    rinse(
      walk,
      dice.pick([dice.between(8, 18), dice.between(30, 45), dice.between(45, 75)]),
      dice.spread(3, 40),
    );
    go(walk, { kind: 'room' }, 'drip', dice.spread(2, 120));
  }
  if (dice.chance(0.4)) hold(walk, dice.spread(2, 30));
  go(walk, { kind: 'room' }, 'carry', dice.spread(1, 60));
}

function takeOut(walk: Walk): void {
  const { dice } = walk;
  if (dice.chance(0.5)) go(walk, { kind: 'room' }, 'lifted', dice.spread(3, 600));
  if (dice.chance(0.4)) hold(walk, dice.spread(2, 20));
  if (dice.chance(0.6))
    rinse(walk, dice.pick([dice.between(8, 20), dice.between(35, 70)]), dice.spread(3, 60));
  settle(walk);
}

/** Puts the probe where it will lie until somebody picks it up again. */
function settle(walk: Walk): void {
  const kinds = ['room', 'room', 'room', 'room', 'fridge', 'fridge', 'freezer', 'sill'] as const;
  walk.home = { kind: walk.dice.pick(kinds) };
  go(walk, walk.home, 'put away', 60);
}

function errandsUntil(walk: Walk, untilS: number): void {
  const { dice, world } = walk;
  for (;;) {
    const nextS = walk.atS + dice.spread(...world.errandEveryS);
    if (nextS > untilS - world.beforeMilkingS) return;
    // Nobody is up at night.
    const hour = (nextS % dayS) / 3600;
    walk.atS = nextS;
    if (world.sleeps && (hour < 5.5 || hour > 22.5)) continue;
    if (walk.plan.stays.at(-1)?.where.kind === 'milk') takeOut(walk);
    else errand(walk, untilS);
  }
}

function errand(walk: Walk, untilS: number): void {
  const { dice } = walk;
  const spareS = untilS - walk.atS - 400;
  const kind = dice.pick([
    'hand',
    'hand',
    'rinse',
    'rinse',
    'fridge',
    'sill',
    'sink',
    'stove',
    'pocket',
    'freezer',
    'move',
  ] as const);
  switch (kind) {
    case 'hand':
      hold(walk, dice.spread(3, 120));
      break;
    case 'rinse':
      if (dice.chance(0.5)) hold(walk, dice.spread(2, 30));
      rinse(
        walk,
        dice.pick([dice.between(8, 20), dice.between(30, 42), dice.between(40, 75)]),
        dice.spread(2, 90),
      );
      break;
    case 'sink':
      // Washing up: hot, slowly cooling, for as long as the dishes take.
      go(
        walk,
        { kind: 'water', startC: dice.between(40, 46), perMinC: dice.between(0.1, 0.4), grip: 1.2 },
        'sink',
        Math.min(dice.spread(15, 480), spareS),
      );
      rinse(walk, dice.between(10, 45), dice.between(2, 15));
      break;
    case 'pocket':
      if (dice.chance(0.4)) hold(walk, dice.spread(2, 40));
      go(
        walk,
        { kind: 'pocket', share: dice.between(...walk.world.pocketShare) },
        'pocket',
        Math.min(dice.spread(60, 1800), spareS),
      );
      break;
    case 'fridge':
    case 'freezer':
    case 'sill':
    case 'stove':
      if (dice.chance(0.5)) hold(walk, dice.spread(2, 20));
      go(walk, { kind }, kind, Math.min(dice.spread(60, 7200), spareS));
      break;
    case 'move':
      settle(walk);
      return;
    default:
      kind satisfies never;
  }
  if (dice.chance(0.3)) hold(walk, dice.spread(2, 15));
  if (dice.chance(0.5)) settle(walk);
  else go(walk, walk.home, 'back', 60);
}

function hold(walk: Walk, forS: number): void {
  const { dice } = walk;
  go(
    walk,
    { kind: 'hand', skinC: dice.between(...walk.world.skinC), grip: dice.between(...walk.world.skinGrip) },
    'hand',
    forS,
  );
}

function rinse(walk: Walk, waterC: number, forS: number): void {
  go(
    walk,
    { kind: 'water', startC: waterC, perMinC: 0, grip: walk.dice.between(...walk.world.rinseGrip) },
    'rinse',
    forS,
  );
}
