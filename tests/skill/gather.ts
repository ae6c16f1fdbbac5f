/** Gathers rows to learn from, in two worker threads. */
import { inTwoThreads } from './in-two-threads.ts';
import type { PopulationNumber } from './population.ts';

export type Rows = { width: number; rows: Float32Array };

/** Makes rows from `jars` jars of a population; `asked` minutes, or three drawn for each jar where empty. */
export async function gatherRows(of: {
  population: PopulationNumber;
  seed: number;
  jars: number;
  asked: number[];
}): Promise<Rows> {
  const parts = await inTwoThreads<Rows>(new URL('./gather-worker.ts', import.meta.url), of);
  const rows = new Float32Array(parts.reduce((sum, part) => sum + part.rows.length, 0));
  let offset = 0;
  for (const part of parts) {
    rows.set(part.rows, offset);
    offset += part.rows.length;
  }
  return { width: parts[0]?.width ?? 0, rows };
}
