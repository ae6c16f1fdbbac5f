/** What the learned correction looks at: bounded numbers, the same for any jar, limit and deadline. */
import { type ChillCurve, localLine } from './chill-curve.ts';
import type { TracePoint } from './chill-trace.ts';
import { chanceWithin } from './crossing.ts';
import type { PoolMember } from './model-pool.ts';
import type { Told } from './place-prior.ts';

/** What the features are made of. `reachMin` is from the last data to the deadline, at least one minute. */
export type FeatureSource = {
  curve: ChillCurve;
  pool: readonly PoolMember[];
  told: Told;
  toC: number;
  reachMin: number;
};

/** Log-odds of a share, held within ±7. */
export function logOdds(share: number): number {
  const held = Math.min(0.99909, Math.max(0.00091, share));
  return Math.log(held / (1 - held));
}

/** Returns the features, each within ±4; their order is that of the learned weights. */
export function correctionFeatures(source: FeatureSource): number[] {
  const { curve, pool, toC, reachMin } = source;
  const all = [
    ...poolFeatures(source),
    ...curveFeatures(curve, toC, reachMin),
    ...aroundFeatures(pool, toC),
    ...toldFeatures(source.told),
  ];
  return all.map((value) => (Number.isFinite(value) ? Math.max(-4, Math.min(4, value)) : 0));
}

function poolFeatures({ curve, pool, toC, reachMin }: FeatureSource): number[] {
  const within = (members: readonly PoolMember[], spanMin: number) =>
    chanceWithin(members, { nowC: curve.nowC, toC, spanMin });
  const windows = [0, 1, 2].map((window) => {
    const own = pool.filter((member) => member.window === window);
    const total = own.reduce((sum, { weight }) => sum + weight, 0);
    return total > 0 ? within(own, reachMin) / total : 0;
  });
  const exponents = [1, 1.25].map((n) => {
    const own = pool.filter(({ law }) => (n === 1 ? law.n < 1.05 : law.n > 1.2));
    const total = own.reduce((sum, { weight }) => sum + weight, 0);
    return total > 0 ? within(own, reachMin) / total : 0;
  });
  return [
    ...[1, 0.5, 0.75, 1.5, 3].map((part) => logOdds(within(pool, part * reachMin)) / 2),
    ...windows.map((chance) => logOdds(chance) / 2),
    ...exponents.map((chance) => logOdds(chance) / 2),
  ];
}

function curveFeatures(curve: ChillCurve, toC: number, reachMin: number): number[] {
  const { points, lastMin, nowC } = curve;
  const first = points[0] as TracePoint;
  const most = Math.max(...points.slice(0, 12).map(({ tempC }) => tempC));
  const overC = Math.max(0.2, nowC - toC);
  const span = Math.max(2, lastMin - Math.max(first.tMin, curve.dropFrom));
  const third = span / 3;
  const slopes = [2.5, 5, 9].map((spanMin) => localLine(points, lastMin, spanMin).slope);
  const parts = [0, 1, 2].map((part) => {
    const own = points.filter(
      ({ tMin }) => tMin > lastMin - (part + 1) * third - 0.3 && tMin <= lastMin - part * third + 0.3,
    );
    return own.length >= 2 ? localLine(own, lastMin - part * third, 99).slope : Number.NaN;
  });
  const fall = (slope: number) => Math.max(0.002, -slope);
  const dropping = (aroundC: number) => {
    const rate = fall(slopes[1] as number) / Math.max(0.5, nowC - aroundC);
    return (aroundC + (nowC - aroundC) * Math.exp(-rate * reachMin) - toC) / 6;
  };
  return [
    Math.log(overC) - 2,
    ...slopes.map((slope) => Math.log((fall(slope) * reachMin) / overC)),
    Math.log(fall(slopes[0] as number) / fall(slopes[1] as number)),
    Math.log(fall(slopes[1] as number) / fall(slopes[2] as number)),
    Math.log(fall(parts[0] as number) / fall(parts[1] as number)),
    Math.log(fall(parts[1] as number) / fall(parts[2] as number)),
    Math.log(fall(slopes[1] as number) / Math.max(0.5, nowC + 16)) + 4,
    Math.log(fall(slopes[1] as number) / Math.max(0.5, nowC)) + 3,
    dropping(-16),
    dropping(0),
    Math.log(lastMin + 1) - 3,
    Math.log(reachMin) - 3.3,
    Math.log(span) - 2.5,
    (most - 33) / 5,
    Math.log(Math.max(1, most - nowC)) - 2,
    Math.log(curve.noiseC) + 2.5,
    ...jumpFeatures(points, lastMin),
  ];
}

/** The greatest break between neighbouring lines through three points, °C a minute, and how long ago. */
function jumpFeatures(points: readonly TracePoint[], lastMin: number): number[] {
  let breakSize = 0;
  let breakMin = 0;
  for (let place = 5; place + 3 < points.length; place++) {
    const before = localLine(points.slice(place - 3, place), (points[place] as TracePoint).tMin, 99);
    const after = localLine(points.slice(place, place + 3), (points[place] as TracePoint).tMin, 99);
    const size = Math.abs(before.slope - after.slope) + Math.abs(before.atC - after.atC);
    if (size > breakSize) {
      breakSize = size;
      breakMin = (points[place] as TracePoint).tMin;
    }
  }
  return [Math.log(breakSize + 0.05) + 1, (lastMin - breakMin) / 15 - 1];
}

function aroundFeatures(pool: readonly PoolMember[], toC: number): number[] {
  let mean = 0;
  let square = 0;
  let warm = 0;
  let exponent = 0;
  let spread = 0;
  for (const { law, weight, logSd } of pool) {
    mean += weight * law.aroundC;
    square += weight * law.aroundC ** 2;
    exponent += weight * law.n;
    spread += weight * logSd;
    if (law.aroundC >= toC) warm += weight;
  }
  return [
    mean / 10,
    Math.sqrt(Math.max(0, square - mean * mean)) / 5 - 1,
    logOdds(warm) / 2,
    (exponent - 1.15) * 10,
    spread * 4 - 1,
  ];
}

function toldFeatures(told: Told): number[] {
  const is = (...places: string[]) => (told.place !== null && places.includes(told.place) ? 1 : 0);
  return [
    told.place === null ? 0 : 1,
    is('freezer'),
    is('ice-bath'),
    is('cold-water'),
    is('fridge'),
    is('cellar', 'room'),
    told.volumeL === null ? 0 : 1,
    told.volumeL === null ? 0 : Math.log(told.volumeL),
  ];
}
