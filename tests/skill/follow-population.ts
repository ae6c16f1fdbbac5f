/** Follows a simulated population in two worker threads. */
import { Worker } from 'node:worker_threads';
import type { JarStory } from './follow-jar.ts';
import type { PopulationNumber } from './population.ts';

type Course = { population: PopulationNumber; seed: number; jars: number; everyS: number };

/** Returns the stories of `jars` jars in their order. */
export async function followPopulation(course: Course): Promise<JarStory[]> {
  const middle = course.jars >> 1;
  const halves = await Promise.all([
    followPart({ ...course, from: 0, to: middle }),
    followPart({ ...course, from: middle, to: course.jars }),
  ]);
  return halves.flat();
}

function followPart(workerData: Course & { from: number; to: number }): Promise<JarStory[]> {
  return new Promise((resolve, reject) => {
    const worker = new Worker(new URL('./follow-worker.ts', import.meta.url), { workerData });
    worker.once('message', resolve);
    worker.once('error', reject);
  });
}
