/** One warned jar: every way out that was told at some moments, how likely it was called, and what came of it. */
import {
  type ChillQuestion,
  feedChill,
  openChillTrace,
  outlookOf,
} from '../../../daemon/forecast/chill-forecast.ts';
import { viewChill } from '../../../daemon/forecast/chill-view.ts';
import { openWarning, weighWarning } from '../../../daemon/forecast/warning.ts';
import { waysOut } from '../../../daemon/forecast/ways-out.ts';
import type { Rescue, RescueKind } from '../../../shared/contract/forecast.ts';
import { nothingTold } from '../../../shared/dairy/at-hand.ts';
import { type Mode, modes, questionOf } from '../follow-jar.ts';
import { deadlineMin, type SkillJar } from '../jar.ts';
import { crossedWith, populationJar } from '../population.ts';
import { drawAct } from './act.ts';

/** What was said of one way at one moment, and whether the jar then made its hour. */
export type RescueStory = {
  mode: Mode;
  kind: RescueKind;
  /** Minutes from the milk's going in to the advice. */
  saidMin: number;
  chance: number;
  made: boolean;
  /** Whether it made it when done at the last useful instant that was told; null where none was. */
  madeAtLast: boolean | null;
};

/** Advice is taken at the warning and these many minutes after it. */
const afterWarningMin = [0, 12] as const;

export type Course = { population: 1 | 2; seed: number; place: number; everyS: number };

/** Follows one jar; no stories where it was never warned of. */
export function followRescues(course: Course): RescueStory[] {
  const jar = populationJar(course.population, course.seed, course.place);
  return modes.flatMap((mode) => rescuesIn(jar, mode, course));
}

function rescuesIn(jar: SkillJar, mode: Mode, course: Course): RescueStory[] {
  const told = mode === 'told';
  const question: ChillQuestion = { ...questionOf(jar, mode), atHand: { ...nothingTold, fan: true } };
  if (told) question.told = { ...question.told, material: jar.material };
  let trace = openChillTrace(jar.id);
  let warning = openWarning();
  let next = 0;
  const moments: number[] = [];
  const stories: RescueStory[] = [];
  for (let atS = course.everyS; atS <= deadlineMin * 60; atS += course.everyS) {
    const atMs = atS * 1000;
    for (; next < jar.readings.length && (jar.readings[next] as { atMs: number }).atMs <= atMs; next++) {
      trace = feedChill(trace, jar.readings[next] as { atMs: number; tempC: number });
    }
    const view = viewChill(trace, question, atMs);
    if (view === null) continue;
    const outlook = outlookOf(view, question);
    const weighed = weighWarning(warning, outlook, question, view.dataToMs);
    warning = weighed.state;
    if (weighed.warn) moments.push(...afterWarningMin.map((afterMin) => atS + 60 * afterMin));
    // As in a watch: ways out are told while the verdict is that it will miss.
    if (!moments.includes(atS) || weighed.verdict !== 'not-on-course') continue;
    const ways = waysOut(view, question, { atMs, chance: outlook.chance });
    stories.push(...ways.map((rescue) => storyOf(rescue, atS, { jar, mode, course })));
    if (atS === moments.at(-1)) break;
  }
  return stories;
}

function storyOf(
  rescue: Rescue,
  atS: number,
  { course, jar, mode }: { course: Course; jar: SkillJar; mode: Mode },
): RescueStory {
  const lastS = rescue.lastUsefulAtMs === null ? null : rescue.lastUsefulAtMs / 1000;
  return {
    mode,
    kind: rescue.kind,
    saidMin: atS / 60,
    chance: rescue.chance,
    made: makesWith(rescue, atS, course, jar),
    madeAtLast: lastS === null ? null : makesWith(rescue, lastS, course, jar),
  };
}

function makesWith(rescue: Rescue, saidS: number, course: Course, jar: SkillJar): boolean {
  const { place, population, seed } = course;
  const act = drawAct({ rescue, volumeL: jar.volumeL ?? 1, saidS, seed, place });
  const crossedMin = crossedWith(act, { population, seed, place });
  return crossedMin !== null && crossedMin <= deadlineMin;
}
