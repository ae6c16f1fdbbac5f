/** What a history holds after a proof: every reading of these probes, in order by probe and instant. */
import { keptInstantMsMax } from '../../daemon/history/intake-item.ts';
import { openReader } from '../../daemon/reader.ts';

export type KeptReading = { probe: string; atMs: number; tempC: number };

/** Reads a data folder that no daemon need have open; one that is kept twice comes twice. */
export async function* keptReadings(dataDir: string, probes: readonly string[]): AsyncGenerator<KeptReading> {
  const reader = await openReader({ dataDir });
  try {
    for (const probe of probes) {
      for await (const slice of reader.rawRange({ probe, fromMs: 0, toMs: keptInstantMsMax })) {
        for (const { atMs, tempC } of slice) yield { probe, atMs, tempC };
      }
    }
  } finally {
    await reader.close();
  }
}

/** All of them at once, for histories that a proof can hold. */
export async function allKept(dataDir: string, probes: readonly string[]): Promise<KeptReading[]> {
  const kept: KeptReading[] = [];
  for await (const reading of keptReadings(dataDir, probes)) kept.push(reading);
  return kept;
}
