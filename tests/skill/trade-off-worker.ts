/** A worker thread that follows jars and keeps what the forecast said twice a minute. */
import { parentPort, workerData } from 'node:worker_threads';
import { feedChill, forecastChill, openChillTrace } from '../../daemon/forecast/chill-forecast.ts';
import { modes, questionOf } from './follow-jar.ts';
import { deadlineMin, type SkillJar } from './jar.ts';
import { type PopulationNumber, populationJar } from './population.ts';

/** What one jar was given, and its chances by mode: [instant of the data in ms, chance] at each half minute. */
export type ChanceStory = {
  crossedMin: number | null;
  moved: boolean;
  place: SkillJar['place'];
  said: Record<(typeof modes)[number], [number, number][]>;
};

const stepS = 30;
const { population, seed, from, to } = workerData as {
  population: PopulationNumber;
  seed: number;
  from: number;
  to: number;
};
const stories: ChanceStory[] = [];
for (let place = from; place < to; place++) {
  const jar = populationJar(population, seed, place);
  const said: ChanceStory['said'] = { untold: [], told: [] };
  let trace = openChillTrace(jar.id);
  let next = 0;
  for (let atS = stepS; atS <= deadlineMin * 60; atS += stepS) {
    for (; next < jar.readings.length; next++) {
      const reading = jar.readings[next] as { atMs: number; tempC: number };
      if (reading.atMs > atS * 1000) break;
      trace = feedChill(trace, reading);
    }
    for (const mode of modes) {
      const outlook = forecastChill(trace, questionOf(jar, mode), atS * 1000);
      if (outlook !== null) said[mode].push([outlook.dataToMs, outlook.chance]);
    }
  }
  stories.push({ crossedMin: jar.crossedMin, moved: jar.moved, place: jar.place, said });
}
parentPort?.postMessage(stories);
