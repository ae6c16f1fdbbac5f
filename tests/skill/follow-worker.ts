/** A worker thread that follows its part of a population. */
import { parentPort, workerData } from 'node:worker_threads';
import { followJar } from './follow-jar.ts';
import { type PopulationNumber, populationJar } from './population.ts';

const { population, seed, from, to, everyS } = workerData as {
  population: PopulationNumber;
  seed: number;
  from: number;
  to: number;
  everyS: number;
};
const stories = [];
for (let place = from; place < to; place++) {
  stories.push(followJar(populationJar(population, seed, place), everyS));
}
parentPort?.postMessage(stories);
