/** What the cadence asks of an offer: how its probes and its source have been lately. */
import type { Offer, WireReading } from '../../probes/source.ts';
import type { Arrival, Standing } from './cadence.ts';
import type { Queue } from './queue.ts';

export type Arrivals = {
  /** Describes readings that were taken of an offer, before they join the queue, and notes that they came. */
  see(offer: Offer, taken: readonly WireReading[]): Arrival;
  /** An offer of this source was answered. */
  answered(source: string): void;
  /** How the watching stands, looked at four times a second at the most. */
  standing(): Standing;
};

export type ArrivalsOptions = {
  queue: Pick<Queue, 'size' | 'lengthOf'>;
  clock: { steadyMs(): number; offsetMs(): number };
  standing: () => Standing;
};

/** How long a look at the watching holds. */
const lookMs = 250;

/** Opens the notes; they hold an instant for each probe and source of the house. */
export function openArrivals({ queue, clock, standing }: ArrivalsOptions): Arrivals {
  const heardMs = new Map<string, number>();
  const answeredMs = new Map<string, number>();
  let looked: { standing: Standing; atMs: number } | null = null;
  return {
    see: ({ source, canResend }, taken) => {
      const nowMs = clock.steadyMs();
      const arrival: Arrival = {
        isAwaited: canResend,
        ageMs: 0,
        lineLength: 0,
        waiting: queue.size,
        answeredAgoMs: nowMs - (answeredMs.get(source) ?? Number.NEGATIVE_INFINITY),
        unheardMs: 0,
      };
      for (const { probe, atMs } of taken) {
        const ageMs = atMs === null ? 0 : nowMs + clock.offsetMs() - atMs;
        arrival.ageMs = Math.max(arrival.ageMs, ageMs);
        arrival.lineLength = Math.max(arrival.lineLength, queue.lengthOf(probe));
        arrival.unheardMs = Math.max(
          arrival.unheardMs,
          nowMs - (heardMs.get(probe) ?? Number.NEGATIVE_INFINITY),
        );
        heardMs.set(probe, nowMs);
      }
      return arrival;
    },
    answered: (source) => {
      answeredMs.set(source, clock.steadyMs());
    },
    standing: () => {
      const nowMs = clock.steadyMs();
      if (looked === null || nowMs - looked.atMs >= lookMs) looked = { standing: standing(), atMs: nowMs };
      return looked.standing;
    },
  };
}
