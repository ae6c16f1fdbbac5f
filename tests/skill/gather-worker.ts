/** A worker thread that turns jars into rows to learn from. */
import { parentPort, workerData } from 'node:worker_threads';
import { feedChill, openChillTrace } from '../../daemon/forecast/chill-forecast.ts';
import { viewChill } from '../../daemon/forecast/chill-view.ts';
import { minutesTo } from '../../daemon/forecast/cooling-law.ts';
import { correctionFeatures, logOdds } from '../../daemon/forecast/correction-features.ts';
import { chanceWithin, drawLaws, quantile } from '../../daemon/forecast/crossing.ts';
import { openDice } from './dice.ts';
import { questionOf } from './follow-jar.ts';
import { deadlineMin, limitC, truthMin } from './jar.ts';
import { type PopulationNumber, populationJar } from './population.ts';
import { fixedParts, poolShares, rawSlots } from './row.ts';

const { population, seed, from, to, asked } = workerData as {
  population: PopulationNumber;
  seed: number;
  from: number;
  to: number;
  /** Minutes asked; empty for three minutes drawn for each jar. */
  asked: number[];
};
/** Who learns also learns what it is to know only the place, or the surroundings from a probe of their own. */
const tellings =
  asked.length > 0 ? (['untold', 'told'] as const) : (['untold', 'told', 'place', 'around'] as const);
const rows: number[] = [];
let width = 0;
for (let place = from; place < to; place++) {
  const jar = populationJar(population, seed, place);
  const dice = openDice(seed + 77, place);
  const times = asked.length > 0 ? asked : [dice.between(5, 14), dice.between(14, 25), dice.between(25, 50)];
  let trace = openChillTrace(jar.id);
  let next = 0;
  for (const atMin of times) {
    for (; next < jar.readings.length; next++) {
      const reading = jar.readings[next] as { atMs: number; tempC: number };
      if (reading.atMs > atMin * 60_000) break;
      trace = feedChill(trace, reading);
    }
    if (jar.crossedMin !== null && jar.crossedMin <= atMin) continue;
    for (const told of tellings) {
      const question = questionOf(jar, told === 'untold' ? 'untold' : 'told');
      if (told === 'place') question.told.volumeL = null;
      if (told === 'around') {
        const known = jar.aroundC.slice(Math.max(0, Math.floor(atMin) - 15), Math.floor(atMin) + 1);
        const meanC = known.reduce((sum, tempC) => sum + tempC, 0) / known.length;
        question.told = { ...question.told, aroundC: meanC + 0.4 * dice.normal() };
        if (dice.happens(0.4)) question.told = { ...question.told, place: null, volumeL: null };
      }
      const view = viewChill(trace, question, atMin * 60_000);
      if (view === null || view.curve.nowC <= limitC) continue;
      const { curve, pool } = view;
      const fromMin = view.dataToMs / 60_000;
      const reachMin = Math.max(1, deadlineMin - fromMin);
      const features = correctionFeatures({ curve, pool, told: view.told, toC: limitC, reachMin });
      const row = [population, place, told === 'untold' ? 0 : 1, atMin, jar.crossedMin ?? truthMin, fromMin];
      const minutes = drawLaws(pool)
        .map((law) => minutesTo(law, curve.nowC, limitC))
        .sort((a, b) => a - b);
      // Past the end of the truth nothing is known; such a horizon teaches nothing.
      const spans = [
        ...fixedParts.map((part) => part * reachMin),
        ...poolShares.map((share) => (minutes.length > 0 ? quantile(minutes, share) : Infinity)),
      ].map((spanMin) => (fromMin + spanMin <= truthMin ? spanMin : 0));
      row.push(
        ...spans.map((spanMin) => logOdds(chanceWithin(pool, { nowC: curve.nowC, toC: limitC, spanMin }))),
        ...spans,
      );
      row.push(
        ...features,
        ...rawSlots(view.raw, fromMin),
        view.told.volumeL ?? -1,
        view.told.place === null ? -1 : view.told.place.length,
      );
      width = row.length;
      for (const value of row) rows.push(value);
    }
  }
}
parentPort?.postMessage({ width, rows: Float32Array.from(rows) });
