/** Two plain forecasts that a good one must beat. */
import { normalShare } from '../../daemon/forecast/crossing.ts';
import { deadlineMin, limitC, type SkillJar, truthMin } from './jar.ts';

/** A forecast as it is scored: minutes since insertion, Infinity for never. */
export type ScoredForecast = { chance: number; p10: number; p50: number; p90: number };

type Point = { tMin: number; tempC: number };

/** Medians over 30 s of the readings up to `atMin`. */
function medians(jar: SkillJar, atMin: number): Point[] {
  const slots = new Map<number, { tMin: number; temps: number[] }>();
  for (const { atMs, tempC } of jar.readings) {
    const tMin = atMs / 60_000;
    if (tMin > atMin) break;
    const slot = Math.floor(tMin * 2);
    const entry = slots.get(slot) ?? { tMin: slot / 2 + 0.25, temps: [] };
    entry.temps.push(tempC);
    slots.set(slot, entry);
  }
  return [...slots.values()].map(({ tMin, temps }) => {
    temps.sort((a, b) => a - b);
    return { tMin, tempC: temps[temps.length >> 1] as number };
  });
}

/** A straight line through the last ten minutes; a third of the way ahead is its spread. */
export function lineForecast(jar: SkillJar, atMin: number): ScoredForecast | null {
  const points = medians(jar, atMin).filter(({ tMin }) => tMin >= atMin - 10);
  if (points.length < 3) return null;
  const meanT = points.reduce((sum, { tMin }) => sum + tMin, 0) / points.length;
  const meanC = points.reduce((sum, { tempC }) => sum + tempC, 0) / points.length;
  let over = 0;
  let under = 0;
  for (const { tMin, tempC } of points) {
    over += (tMin - meanT) * (tempC - meanC);
    under += (tMin - meanT) ** 2;
  }
  const slope = over / under;
  const nowC = meanC + slope * (atMin - meanT);
  const ahead = nowC <= limitC ? 0 : slope < 0 ? (limitC - nowC) / slope : Number.POSITIVE_INFINITY;
  const reach = deadlineMin - atMin;
  const chance = Number.isFinite(ahead) ? normalShare((reach - ahead) / Math.max(1, ahead / 3)) : 0;
  const p = (z: number) => atMin + ahead * (1 + (z * 1.2816) / 3);
  return { chance, p10: p(-1), p50: p(0), p90: p(1) };
}

/** °C, spread and share of places in general; places told keep their own. */
const priors = {
  freezer: [-16, 5, 0.35],
  fridge: [4, 2.5, 0.15],
  'ice-bath': [1, 1.5, 0.3],
  'cold-water': [10, 4, 0.12],
  cellar: [11, 3, 0.08],
} as const;

/** One exponential through 30 s medians, later ones weighing more, on a grid of surroundings with a prior. */
export function exponentialForecast(jar: SkillJar, atMin: number, told: boolean): ScoredForecast | null {
  const points = medians(jar, atMin).filter(({ tMin }) => tMin >= 1);
  const last = points[points.length - 1];
  if (points.length < 4 || last === undefined) return null;
  const members: { weight: number; crossMin: number }[] = [];
  for (let aroundC = -30; aroundC <= 26; aroundC++) {
    const fit = fitExponential(points, atMin, aroundC);
    if (fit === null) continue;
    const prior = priorOf(aroundC, told ? jar.place : null);
    members.push({ weight: Math.log(prior) - 0.5 * fit.misfit, crossMin: atMin + fit.aheadMin });
  }
  if (members.length === 0) return null;
  const most = Math.max(...members.map(({ weight }) => weight));
  const shares = members.map(({ weight, crossMin }) => ({ share: Math.exp(weight - most), crossMin }));
  shares.sort((a, b) => a.crossMin - b.crossMin);
  const total = shares.reduce((sum, { share }) => sum + share, 0);
  const quantile = (level: number) => {
    let sum = 0;
    for (const { share, crossMin } of shares) {
      sum += share / total;
      if (sum >= level) return crossMin > truthMin ? Number.POSITIVE_INFINITY : crossMin;
    }
    return Number.POSITIVE_INFINITY;
  };
  const chance = shares.filter(({ crossMin }) => crossMin <= deadlineMin);
  return {
    chance: chance.reduce((sum, { share }) => sum + share, 0) / total,
    p10: quantile(0.1),
    p50: quantile(0.5),
    p90: quantile(0.9),
  };
}

function priorOf(aroundC: number, place: string | null): number {
  let prior = 1e-4;
  for (const [kind, [meanC, sdC, share]] of Object.entries(priors)) {
    if (place !== null && place !== kind) continue;
    prior += (share / sdC) * Math.exp(-0.5 * ((aroundC - meanC) / sdC) ** 2);
  }
  return prior;
}

function fitExponential(points: readonly Point[], atMin: number, aroundC: number) {
  let w = 0;
  let wt = 0;
  let wz = 0;
  let wtt = 0;
  let wtz = 0;
  let wzz = 0;
  for (const { tMin, tempC } of points) {
    const overK = tempC - aroundC;
    if (overK < 0.3) return null;
    const weight = overK ** 2 * Math.exp((tMin - atMin) / 15) * 6;
    const z = Math.log(overK);
    w += weight;
    wt += weight * tMin;
    wz += weight * z;
    wtt += weight * tMin * tMin;
    wtz += weight * tMin * z;
    wzz += weight * z * z;
  }
  const tt = wtt - (wt * wt) / w;
  const tz = wtz - (wt * wz) / w;
  const slope = tz / tt;
  const misfit = Math.max(0, wzz - (wz * wz) / w - slope * tz);
  const nowLog = wz / w + slope * (atMin - wt / w);
  const nowC = aroundC + Math.exp(nowLog);
  if (nowC <= limitC) return { misfit, aheadMin: 0 };
  if (slope >= 0 || aroundC >= limitC) return { misfit, aheadMin: Number.POSITIVE_INFINITY };
  return { misfit, aheadMin: (Math.log(limitC - aroundC) - nowLog) / slope };
}
