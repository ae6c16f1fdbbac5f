/** One jar as it would have been watched: what each forecaster said at the asked minutes, and the warning. */
import {
  type ChillOutlook,
  type ChillQuestion,
  feedChill,
  forecastChill,
  openChillTrace,
} from '../../daemon/forecast/chill-forecast.ts';
import { openWarning, weighWarning } from '../../daemon/forecast/warning.ts';
import { exponentialForecast, lineForecast, type ScoredForecast } from './baselines.ts';
import { deadlineMin, limitC, type SkillJar } from './jar.ts';

/** When forecasts are scored, minutes after insertion. */
export const askedMin = [10, 15, 20, 30, 40] as const;
export const forecasters = ['line', 'exponential', 'springhouse'] as const;
export type Forecaster = (typeof forecasters)[number];
export type Mode = 'untold' | 'told';
export const modes: readonly Mode[] = ['untold', 'told'];

/** What one forecaster said of one jar; `warnedMin` is null where it never warned. */
export type JarRun = { said: (ScoredForecast | null)[]; warnedMin: number | null };
/** All that was said of one jar. */
export type JarStory = {
  id: string;
  scene: string;
  moved: boolean;
  crossedMin: number | null;
  runs: Record<Mode, Record<Forecaster, JarRun>>;
};

/** Follows a jar with all forecasters, Springhouse's own every `everyS` of data. */
export function followJar(jar: SkillJar, everyS: number): JarStory {
  const run = (mode: Mode): Record<Forecaster, JarRun> => ({
    line: baseline((atMin) => lineForecast(jar, atMin)),
    exponential: baseline((atMin) => exponentialForecast(jar, atMin, mode === 'told')),
    springhouse: watched(jar, mode, everyS),
  });
  return {
    id: jar.id,
    scene: jar.scene ?? jar.place ?? 'unknown',
    moved: jar.moved,
    crossedMin: jar.crossedMin,
    runs: { untold: run('untold'), told: run('told') },
  };
}

/** A baseline warns where its chance is at or under 0.1 twice, a minute apart, from minute 6 on. */
function baseline(forecast: (atMin: number) => ScoredForecast | null): JarRun {
  let warnedMin: number | null = null;
  let low = 0;
  for (let atMin = 5; atMin < deadlineMin && warnedMin === null; atMin++) {
    const said = forecast(atMin);
    low = said !== null && said.chance <= 0.1 ? low + 1 : 0;
    if (low >= 2 && atMin >= 6) warnedMin = atMin;
  }
  return { said: askedMin.map(forecast), warnedMin };
}

/** The question that a watch would ask of this jar. */
export function questionOf(jar: SkillJar, mode: Mode): ChillQuestion {
  const told = mode === 'told';
  return {
    limitC,
    marginC: 0,
    deadlineMs: deadlineMin * 60_000,
    sinceMs: 0,
    told: {
      place: told ? jar.place : null,
      aroundC: null,
      volumeL: told ? jar.volumeL : null,
      material: null,
    },
  };
}

function watched(jar: SkillJar, mode: Mode, everyS: number): JarRun {
  const question = questionOf(jar, mode);
  const said: (ScoredForecast | null)[] = [];
  let trace = openChillTrace(jar.id);
  let warning = openWarning();
  let warnedMin: number | null = null;
  let next = 0;
  for (let atS = everyS; atS <= deadlineMin * 60; atS += everyS) {
    const atMs = atS * 1000;
    for (; next < jar.readings.length && (jar.readings[next] as { atMs: number }).atMs <= atMs; next++) {
      trace = feedChill(trace, jar.readings[next] as { atMs: number; tempC: number });
    }
    const asked = (askedMin as readonly number[]).includes(atS / 60);
    if (warnedMin !== null && !asked) continue;
    const outlook = forecastChill(trace, question, atMs);
    if (asked) said.push(outlook === null ? null : scored(outlook));
    if (outlook === null) continue;
    const weighed = weighWarning(warning, outlook, question, outlook.dataToMs);
    warning = weighed.state;
    if (weighed.warn) warnedMin ??= atS / 60;
  }
  return { said, warnedMin };
}

function scored({ chance, crossing }: ChillOutlook): ScoredForecast {
  const minutes = (atMs: number | null) => (atMs === null ? Number.POSITIVE_INFINITY : atMs / 60_000);
  return { chance, p10: minutes(crossing.p10), p50: minutes(crossing.p50), p90: minutes(crossing.p90) };
}
