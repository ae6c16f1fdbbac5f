/** One house: chill after chill is watched, taught from, and at each stage forecast with and without what it taught. */
import { feedChill, forecastChill, openChillTrace } from '../../../daemon/forecast/chill-forecast.ts';
import { learn, lessonOf } from '../../../daemon/forecast/house-prior.ts';
import { lessonsFor, type Setup } from '../../../daemon/forecast/learned-ways.ts';
import type { Material } from '../../../shared/contract/ids.ts';
import type { HousePrior } from '../../../shared/contract/prior.ts';
import { type Dice, openDice } from '../dice.ts';
import { questionOf } from '../follow-jar.ts';
import {
  deadlineMin,
  type JarTruth,
  limitC,
  readingsMin,
  type SkillJar,
  scenePlaces,
  truthMin,
  truthStepS,
} from '../jar.ts';
import { drawLayeredJar } from '../population-layers.ts';
import { drawShelledJar } from '../population-shells.ts';
import { readJar } from '../probe-model.ts';
import { openHouseDice } from './house-dice.ts';

/** Places of a house, and chills that are forecast at each stage. */
const setupsOfHouse = 2;
const laterEveryS = 30;
/** How often the second place is taken. */
const otherShare = 0.2;
const askedChills = 4;
const askedMs = 15 * 60_000;
/** How many chills have been seen when the next ones are forecast. */
export const stages = [0, 3, 6, 12] as const;
export const wrongShares = [0, 0.05] as const;
/** A rescue ends one chill of four somewhere after 10 min. */
const rescuedShare = 0.25;

/** Error of the median crossing at minute 15, minutes, of one forecast, beside that of the unlearned one. */
export type Asked = {
  scene: string | null;
  stage: number;
  wrong: number;
  unlearnedMin: number;
  learnedMin: number;
  covered: boolean | null;
  coveredUnlearned: boolean | null;
};

/** Follows one house of a population; the same numbers give the same figures. */
export function followHouse(of: { population: 1 | 2; seed: number; house: number }): Asked[] {
  const dice = openDice(of.seed * 977 + of.population, of.house);
  const found: Asked[] = [];
  const priors = wrongShares.map((): HousePrior | null => null);
  const most = Math.max(...stages);
  for (let chill = 0; chill <= most; chill++) {
    if ((stages as readonly number[]).includes(chill)) {
      for (let ask = 0; ask < askedChills; ask++) {
        const { jar, setup } = chillOf(of, dice, 1000 + chill * 10 + ask);
        for (const [place, wrong] of wrongShares.entries()) {
          const asked = askOne(jar, setup, priors[place] ?? null);
          if (asked !== null) found.push({ stage: chill, wrong, scene: jar.scene, ...asked });
        }
      }
    }
    const { jar, setup } = chillOf(of, dice, chill);
    const untilMs = dice.happens(rescuedShare) ? dice.between(10, 40) * 60_000 : Number.POSITIVE_INFINITY;
    const slip = dice.share();
    const label = mislabelled(of, setup, dice);
    for (const [place, wrong] of wrongShares.entries()) {
      const told = slip < wrong ? label : setup;
      const lesson = lessonOf(`${chill}`, told, {
        regime: regimeOf(jar, untilMs),
        before: lessonsFor(priors[place] ?? null, told),
      });
      if (lesson !== null) priors[place] = learn(priors[place] ?? null, lesson);
    }
  }
  return found;
}

function chillOf(of: { population: 1 | 2; seed: number; house: number }, dice: Dice, chill: number) {
  const at = dice.happens(otherShare) ? 1 : 0;
  const truth = drawOf(of, at, chill);
  const jar = readJar(
    `${of.house}-${chill}`,
    truth,
    openHouseDice({ seed: of.seed * 13 + 5, stream: of.house }, chill),
  );
  return { jar: { ...jar, readings: [...jar.readings, ...laterOf(truth)] }, setup: setupOf(truth, at) };
}

/** A watch goes on until the milk is cold, where the populations' own readings end with the hour. */
function laterOf({ milkC }: JarTruth): SkillJar['readings'] {
  const every = laterEveryS / truthStepS;
  const from = (readingsMin * 60) / truthStepS;
  const readings: SkillJar['readings'] = [];
  for (let step = from; step < milkC.length; step += every) {
    readings.push({ atMs: step * truthStepS * 1000, tempC: milkC[step] as number });
  }
  return readings;
}

function drawOf(of: { population: 1 | 2; seed: number; house: number }, at: number, chill: number): JarTruth {
  const house = openHouseDice(
    { seed: of.seed * 2 + of.population, stream: of.house * setupsOfHouse + at },
    chill,
  );
  return of.population === 1 ? drawLayeredJar(house) : drawShelledJar(house);
}

function setupOf(
  { scene, material, volumeL }: Pick<JarTruth, 'scene' | 'material' | 'volumeL'>,
  at: number,
): Setup {
  return { place: `place-${at}`, kind: scenePlaces[scene], material, volumeL };
}

/** The same chill under a wrong label: the other place, another volume, or another material. */
function mislabelled(
  of: { population: 1 | 2; seed: number; house: number },
  setup: Setup,
  dice: Dice,
): Setup {
  const which = dice.pick({ place: 1, volume: 1, material: 1 });
  const volume = (setup.volumeL ?? 1) * (dice.happens(0.5) ? 2 : 0.5);
  const other = setup.place === 'place-0' ? 1 : 0;
  if (which === 'volume') return { ...setup, volumeL: volume };
  if (which === 'material')
    return { ...setup, material: (setup.material === 'glass' ? 'steel' : 'glass') as Material };
  return { ...setupOf(drawOf(of, other, 0), other), volumeL: setup.volumeL };
}

function regimeOf(jar: SkillJar, untilMs: number) {
  const crossedMs = jar.crossedMin === null ? Number.POSITIVE_INFINITY : jar.crossedMin * 60_000;
  let trace = openChillTrace(jar.id);
  let toMs = 0;
  for (const reading of jar.readings) {
    if (reading.atMs > Math.min(untilMs, crossedMs)) break;
    trace = feedChill(trace, reading);
    toMs = reading.atMs;
  }
  return {
    trace,
    sinceMs: 0,
    toMs,
    aroundC: null,
    limitC,
    deadlineMs: deadlineMin * 60_000,
    crossedMs: crossedMs <= untilMs ? crossedMs : null,
  };
}

function askOne(
  jar: SkillJar,
  setup: Setup,
  prior: HousePrior | null,
): Omit<Asked, 'stage' | 'wrong' | 'scene'> | null {
  if (jar.crossedMin !== null && jar.crossedMin * 60_000 <= askedMs) return null;
  const { trace } = regimeOf(jar, askedMs);
  const question = { ...questionOf(jar, 'told'), limitC };
  const truth = Math.min(truthMin, jar.crossedMin ?? truthMin);
  const of = (lessons: ReturnType<typeof lessonsFor>) => {
    const said = forecastChill(trace, { ...question, lessons }, askedMs);
    const min = (atMs: number | null | undefined) => Math.min(truthMin, (atMs ?? truthMin * 60_000) / 60_000);
    const { p10 = null, p50 = null, p90 = null } = said?.crossing ?? {};
    const covered = p10 === null ? null : min(p10) <= truth && truth <= min(p90);
    return { error: Math.abs(min(p50) - truth), covered };
  };
  const plain = of([]);
  const own = of(lessonsFor(prior, setup));
  return {
    unlearnedMin: plain.error,
    learnedMin: own.error,
    covered: own.covered,
    coveredUnlearned: plain.covered,
  };
}
