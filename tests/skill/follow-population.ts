/** Follows a simulated population in two worker threads. */
import type { JarStory } from './follow-jar.ts';
import { inTwoThreads } from './in-two-threads.ts';
import type { PopulationNumber } from './population.ts';

/** Returns the stories of `jars` jars in their order. */
export async function followPopulation(course: {
  population: PopulationNumber;
  seed: number;
  jars: number;
  everyS: number;
}): Promise<JarStory[]> {
  const halves = await inTwoThreads<JarStory[]>(new URL('./follow-worker.ts', import.meta.url), course);
  return halves.flat();
}
