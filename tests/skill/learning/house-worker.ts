/** A worker thread that follows its part of a population's houses. */
import { parentPort, workerData } from 'node:worker_threads';
import { followHouse } from './follow-house.ts';

const { population, seed, from, to } = workerData as {
  population: 1 | 2;
  seed: number;
  from: number;
  to: number;
};
const found = [];
for (let house = from; house < to; house++) found.push(...followHouse({ population, seed, house }));
parentPort?.postMessage(found);
