/** The newest reading of each probe, kept in memory for whoever asks. */
import { type Input, type Reading, readingFlags } from '../shared/contract/input.ts';

export type LatestReadings = {
  /** Takes committed inputs in order; an older reading changes nothing. */
  see(inputs: readonly Input[]): void;
  of(probe: string): Reading | null;
  /** Probes that were ever heard. */
  probes(): Iterable<string>;
};

/** Opens with what the history knows. */
export function openLatestReadings(known: readonly Reading[]): LatestReadings {
  const latest = new Map(known.map((reading) => [reading.probe, reading]));

  function hear(reading: Reading): void {
    if ((reading.flags & readingFlags.undated) !== 0) return;
    const before = latest.get(reading.probe);
    if (before === undefined || reading.atMs >= before.atMs) latest.set(reading.probe, reading);
  }

  /** Receipts go by the daemon's clock and are shifted with it; instants of a source are its own. */
  function shift(deltaMs: number): void {
    for (const [probe, reading] of latest) {
      if ((reading.flags & readingFlags.receipt) === 0) continue;
      latest.set(probe, { ...reading, atMs: reading.atMs + deltaMs });
    }
  }

  return {
    see: (inputs) => {
      for (const input of inputs) {
        if (input.kind === 'reading') hear(input.reading);
        else if (input.kind === 'clock') shift(input.deltaMs);
      }
    },
    of: (probe) => latest.get(probe) ?? null,
    probes: () => latest.keys(),
  };
}
