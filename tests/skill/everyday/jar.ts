/** A jar of milk in two layers inside its glass, moved from place to place. */
import type { Dice } from './dice.ts';
import type { HouseAir } from './house-air.ts';

export type JarPlace =
  | 'table'
  | 'fridge'
  | 'freezer'
  | 'windy-freezer'
  | 'still-ice'
  | 'stirred-ice'
  | 'tap-water';

export type Jar = {
  volumeL: number;
  steel: boolean;
  topC: number;
  bottomC: number;
  wallC: number;
  place: JarPlace;
  /** The bath's own temperature and the ice left in it, for the wet places. */
  bathC: number;
  iceKg: number;
};

export function fillJar(dice: Dice, spanC: readonly [number, number]): Jar {
  const milkC = Math.min(38.3, dice.between(...spanC));
  const volumeL = dice.spread(0.2, 4);
  return {
    volumeL,
    steel: dice.chance(0.25),
    topC: milkC + dice.between(0, 0.4),
    bottomC: milkC,
    wallC: milkC - dice.between(0.5, 4),
    place: 'table',
    bathC: 12,
    iceKg: 0,
  };
}

export function putJar(jar: Jar, place: JarPlace, dice: Dice): void {
  jar.place = place;
  jar.bathC = place === 'tap-water' ? dice.between(8, 18) : 1;
  jar.iceKg = place.endsWith('ice') ? jar.volumeL * dice.between(0.5, 2) : 0;
}

/** Outer exchange in W/m²K by place, at 20 K across. */
const outerExchange: Record<JarPlace, number> = {
  table: 9.5,
  fridge: 8,
  freezer: 9,
  'windy-freezer': 24,
  'still-ice': 130,
  'stirred-ice': 420,
  'tap-water': 150,
};

/** Moves one jar on by one second. */
export function stepJar(jar: Jar, air: HouseAir): void {
  const aroundC = aroundOf(jar, air);
  const areaM2 = 0.056 * jar.volumeL ** (2 / 3);
  const spanC = Math.abs(jar.wallC - aroundC);
  const outer = outerExchange[jar.place] * Math.max(0.3, spanC / 20) ** 0.2 * areaM2;
  const inner = 260 * Math.max(0.2, Math.abs((jar.topC + jar.bottomC) / 2 - jar.wallC) / 8) ** 0.2 * areaM2;
  const layerJ = (jar.volumeL / 2) * 1.03 * 3930;
  const wallJ = areaM2 * (jar.steel ? 3100 : 7500) + 40;
  const topW = (inner / 2) * (jar.topC - jar.wallC);
  const bottomW = (inner / 2) * (jar.bottomC - jar.wallC);
  const outW = outer * (jar.wallC - aroundC);
  // Warmer below turns over at once; colder below lies still.
  const mixW = (jar.bottomC > jar.topC ? 60 : 0.5) * jar.volumeL ** (1 / 3) * (jar.topC - jar.bottomC);
  // Milk chilled at the wall sinks: it cools the bottom more than the top.
  const sink = Math.min(0.45, 0.02 * Math.max(0, outW));
  jar.topC += (-topW * (1 - sink) - mixW) / layerJ;
  jar.bottomC += (-bottomW - topW * sink + mixW) / layerJ;
  jar.wallC += (topW + bottomW - outW) / wallJ;
  if (jar.iceKg > 0) {
    jar.iceKg -= (outW + 6) / 334_000;
    jar.bathC += (1 - jar.bathC) / 120;
  } else {
    const bathJ = jar.volumeL * 2.5 * 4186;
    jar.bathC += (outW + 1.5 * (air.roomC - jar.bathC)) / bathJ;
  }
}

export function shakeJar(jar: Jar): void {
  const meanC = (jar.topC + jar.bottomC) / 2;
  jar.topC = meanC;
  jar.bottomC = meanC;
}

function aroundOf(jar: Jar, air: HouseAir): number {
  switch (jar.place) {
    case 'table':
      return air.roomC;
    case 'fridge':
      return air.fridgeC;
    case 'freezer':
    case 'windy-freezer':
      return air.freezerC;
    default:
      return jar.bathC;
  }
}
