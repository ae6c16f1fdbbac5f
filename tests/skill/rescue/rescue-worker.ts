/** A worker thread that follows its part of a population with its ways out. */
import { parentPort, workerData } from 'node:worker_threads';
import { followRescues, type RescueStory } from './follow-rescues.ts';

const { population, seed, from, to, everyS } = workerData as {
  population: 1 | 2;
  seed: number;
  from: number;
  to: number;
  everyS: number;
};
const stories: RescueStory[] = [];
for (let place = from; place < to; place++) {
  stories.push(...followRescues({ population, seed, place, everyS }));
}
parentPort?.postMessage(stories);
