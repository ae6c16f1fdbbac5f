/**
 * Population 2, radial shells: two stacked halves of five rings of milk that conduct and convect inwards,
 * compressors that switch, baths with the ice away from the jar, and jars that are moved midway.
 */
import type { Dice } from './dice.ts';
import { deadlineMin, type Followed, type JarTruth, type Scene, truthMin, truthStepS } from './jar.ts';
import type { Act } from './rescue/act.ts';
import { openActing } from './rescue/acting.ts';
import { openActBath } from './rescue/shelled-bath.ts';
import { constant, drawSurroundings, type Surroundings, stillFilm } from './shelled-surroundings.ts';

const rings = 5;
const milkJPerM3K = 4.01e6;
const sceneWeights: Readonly<Record<Scene, number>> = {
  ice: 0.42,
  'moving air': 0.3,
  'still freezer': 0.12,
  fridge: 0.07,
  'cold water': 0.06,
  cellar: 0.03,
};
const movedChance = 0.08;
/** Where jars are moved to: somebody is in a hurry, or needs the room. */
const moveWeights: Readonly<Record<Scene, number>> = {
  ice: 0.35,
  'moving air': 0.2,
  'still freezer': 0.15,
  fridge: 0.2,
  'cold water': 0.05,
  cellar: 0.05,
};

/** Draws one jar and follows it for four hours; with an act to the end of its hour, from then on as it was done. */
export function drawShelledJar(dice: Dice, act?: Act): JarTruth {
  const scene = dice.pick(sceneWeights);
  const volumeL = dice.logBetween(0.2, 4);
  const material = dice.happens(0.6) ? 'glass' : 'steel';
  const roomC = dice.between(12, 28);
  const moved = dice.happens(movedChance);
  const benchS = dice.happens(0.25) ? 0 : dice.between(0, 8) * 60 * dice.share();
  const stays = { fromS: benchS, surroundings: drawSurroundings(scene, roomC, volumeL, dice) };
  const moves = moved
    ? [
        stays,
        {
          fromS: benchS + dice.between(6, 40) * 60,
          surroundings: drawSurroundings(dice.pick(moveWeights), roomC, volumeL, dice),
        },
      ]
    : [stays];
  const { milkC, aroundC } = follow({ volumeL, material, roomC, moves }, dice, act);
  return { scene, volumeL, material, roomC, moved, milkC, aroundC };
}

type Course = {
  volumeL: number;
  material: 'glass' | 'steel';
  roomC: number;
  moves: { fromS: number; surroundings: Surroundings }[];
};

type Shape = { halfM3: number; radiusM: number; halfHighM: number };

function shapeOf(volumeL: number, slender: number): Shape {
  const halfM3 = volumeL * 0.5e-3;
  const radiusM = ((2 * halfM3) / (2 * Math.PI * slender)) ** (1 / 3);
  return { halfM3, radiusM, halfHighM: radiusM * slender };
}

/** What stands around a jar once an act was done; `now` stays where the act only changes the jar. */
function aroundAfter(act: Act, now: Surroundings, roomC: number, withIce: boolean): Surroundings {
  if (act.kind === 'split' || act.kind === 'stir') return now;
  if (act.kind !== 'fan') return openActBath(act, { withIce, roomC });
  const blown = act.dice.logBetween(18, 62);
  return { film: (overK) => Math.max(blown, now.film(overK)), pass: now.pass };
}

function follow(course: Course, dice: Dice, act?: Act): Followed {
  const slender = dice.between(1, 2.2);
  let shape = shapeOf(course.volumeL, slender);
  const wallWPerM2K = course.material === 'glass' ? dice.between(200, 420) : dice.between(2500, 12_000);
  const stirring = {
    base: dice.logBetween(1.2, 5),
    rise: dice.logBetween(0.6, 7),
    power: dice.between(0.2, 0.4),
  };
  const slideWPerK = dice.logBetween(0.2, 4) * course.volumeL ** (2 / 3);
  const endShare = [dice.between(0.1, 0.9), dice.between(0.05, 0.5)];
  const bench: Surroundings = { film: stillFilm(dice), pass: constant(course.roomC) };
  const probe = { ring: dice.between(0, 2.8), high: dice.share() };
  const shakeS = dice.happens(0.1) ? dice.between(8, 50) * 60 : Number.POSITIVE_INFINITY;
  const startC = dice.between(30, 38);
  const milk = new Float64Array(2 * rings).fill(startC);
  const steps = ((act === undefined ? truthMin : deadlineMin) * 60) / truthStepS;
  const milkC = new Float64Array(steps + 1);
  const around = new Float64Array(steps + 1);
  let after: Surroundings | null = null;
  const acting = openActing(act);
  let count = 1;
  let leftW = 0;
  for (let step = 0; step <= steps; step++) {
    const atS = step * truthStepS;
    milkC[step] = probed(milk, probe);
    const stay = course.moves.findLast(({ fromS }) => atS >= fromS);
    let surroundings = after ?? stay?.surroundings ?? bench;
    const done = acting.stepAt(atS);
    if (done !== null) {
      after = aroundAfter(done.act, surroundings, course.roomC, done.withIce);
      surroundings = after;
      if (done.act.kind === 'split') {
        shape = shapeOf(course.volumeL / done.act.vessels, done.act.dice.between(1, 2.2));
        count = done.act.vessels;
        milk.fill(pouredC(milk, done.act));
      }
    }
    if (acting.stirsAt(atS)) milk.fill((meanOf(milk, 0) + meanOf(milk, 1)) / 2);
    if (stay !== undefined && atS >= shakeS && atS < shakeS + truthStepS) {
      milk.fill(milk.reduce((sum, tempC) => sum + tempC) / milk.length);
    }
    const aroundC = surroundings.pass(count * leftW, truthStepS);
    around[step] = aroundC;
    leftW = 0;
    const { halfHighM, radiusM } = shape;
    for (let half = 0; half < 2; half++) {
      const outer = milk[half * rings + rings - 1] as number;
      const film = surroundings.film(outer - aroundC);
      const uWPerM2K = 1 / (1 / film + 1 / wallWPerM2K);
      const areaM2 =
        2 * Math.PI * radiusM * halfHighM + (endShare[half] as number) * Math.PI * radiusM * radiusM;
      leftW += conductRings(milk, { half, radiusM, halfHighM, areaM2, uWPerM2K, aroundC, stirring });
    }
    slide(milk, shape.halfM3, slideWPerK);
  }
  return { milkC, aroundC: around };
}

/** Milk poured into vessels at the room's warmth, which take up some of its heat. */
function pouredC(milk: Float64Array, { dice }: Act): number {
  const mixedC = (meanOf(milk, 0) + meanOf(milk, 1)) / 2;
  return mixedC - dice.between(0, 0.05) * Math.max(0, mixedC - 20);
}

function probed(milk: Float64Array, probe: { ring: number; high: number }): number {
  const inner = Math.floor(probe.ring);
  const part = probe.ring - inner;
  const at = (half: number) =>
    (milk[half * rings + inner] as number) * (1 - part) + (milk[half * rings + inner + 1] as number) * part;
  return at(0) * (1 - probe.high) + at(1) * probe.high;
}

type RingStep = {
  half: number;
  radiusM: number;
  halfHighM: number;
  areaM2: number;
  uWPerM2K: number;
  aroundC: number;
  stirring: { base: number; rise: number; power: number };
};

/** One implicit step of radial conduction with a conductivity that convection multiplies; returns W out. */
function conductRings(milk: Float64Array, of: RingStep): number {
  const offset = of.half * rings;
  const thickM = of.radiusM / rings;
  const across = Math.abs((milk[offset] as number) - (milk[offset + rings - 1] as number));
  const conductivity = 0.57 * (of.stirring.base + of.stirring.rise * across ** of.stirring.power);
  const upper = new Float64Array(rings);
  const right = new Float64Array(rings);
  let carriedG = 0;
  for (let ring = 0; ring < rings; ring++) {
    const volumeM3 = Math.PI * thickM * thickM * (2 * ring + 1) * of.halfHighM;
    const perStep = (milkJPerM3K * volumeM3) / truthStepS;
    const outG =
      ring === rings - 1
        ? of.areaM2 / (1 / of.uWPerM2K + thickM / 2 / conductivity)
        : (conductivity * 2 * Math.PI * (ring + 1) * thickM * of.halfHighM) / thickM;
    const known = perStep * (milk[offset + ring] as number) + (ring === rings - 1 ? outG * of.aroundC : 0);
    const before = ring === 0 ? 0 : (upper[ring - 1] as number);
    const pivot = perStep + outG + carriedG * (1 - before);
    upper[ring] = ring === rings - 1 ? 0 : outG / pivot;
    right[ring] = (known + carriedG * (ring === 0 ? 0 : (right[ring - 1] as number))) / pivot;
    carriedG = outG;
  }
  let next = 0;
  for (let ring = rings - 1; ring >= 0; ring--) {
    next = (right[ring] as number) + (upper[ring] as number) * next;
    milk[offset + ring] = next;
  }
  return carriedG * ((milk[offset + rings - 1] as number) - of.aroundC);
}

/** Cold outer milk slides down and warm inner milk rises; an upper half colder than the lower turns over. */
function slide(milk: Float64Array, halfM3: number, slideWPerK: number): void {
  for (let ring = 0; ring < rings; ring++) {
    const low = milk[ring] as number;
    const high = milk[rings + ring] as number;
    const ringJPerK = (milkJPerM3K * halfM3 * (2 * ring + 1)) / (rings * rings);
    const share = low > high ? 0.25 : Math.min(0.25, (0.1 * slideWPerK * truthStepS) / ringJPerK);
    milk[ring] = low + share * (high - low);
    milk[rings + ring] = high - share * (high - low);
  }
  const outer = rings - 1;
  const core = milk[0] as number;
  const edge = milk[rings + outer] as number;
  const stacked = meanOf(milk, 1) - meanOf(milk, 0);
  const movedJ = slideWPerK * Math.max(0, core - edge - 1.5 * stacked) * truthStepS;
  const lowJPerK = milkJPerM3K * halfM3;
  const shift = Math.min(0.5, movedJ / lowJPerK);
  for (let ring = 0; ring < rings; ring++) {
    milk[ring] = (milk[ring] as number) - shift;
    milk[rings + ring] = (milk[rings + ring] as number) + shift;
  }
}

function meanOf(milk: Float64Array, half: number): number {
  let sum = 0;
  for (let ring = 0; ring < rings; ring++) sum += (2 * ring + 1) * (milk[half * rings + ring] as number);
  return sum / (rings * rings);
}
