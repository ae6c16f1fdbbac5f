import type { Database } from '../sqlite/database.ts';

/** Returns the question for every probe that a history has a temperature series of, by id. */
export function findProbesKept(database: Database): () => string[] {
  const probes = database.prepare<{ probe: string }>(
    "SELECT DISTINCT probe FROM series WHERE quantity = 'temperature' AND unit = 'Cel' ORDER BY probe",
  );
  return () => probes.all().map(({ probe }) => probe);
}
