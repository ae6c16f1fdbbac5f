/** Where each probe stood at an instant: the sittings of the record, else what the house file says. Wiring. */
import type { RecordEvent } from '../shared/contract/event.ts';

export type ProbePlaces = {
  /** Takes events of the record in order; others than those of sittings say nothing here. */
  hear(events: readonly RecordEvent[]): void;
  /** Returns the place of a probe at an instant as far as is known by now; null where none is. */
  placeOf(probe: string, atMs: number): string | null;
};

type Stay = { fromMs: number; place: string | null };

/** The most stays remembered of one probe; the oldest go first, and readings of that time get the usual place. */
const staysMax = 20_000;

/** Opens the places; `usualOf` is what the house file says of a probe. */
export function openProbePlaces(usualOf: (probe: string) => string | null): ProbePlaces {
  const stays = new Map<string, Stay[]>();
  const add = (probe: string, stay: Stay) => {
    const known = stays.get(probe) ?? [];
    // A sitting that was heard of late begins before one that is already known.
    const index = known.findLastIndex(({ fromMs }) => fromMs <= stay.fromMs);
    known.splice(index + 1, 0, stay);
    if (known.length > staysMax) known.shift();
    stays.set(probe, known);
  };
  return {
    hear: (events) => {
      for (const event of events) {
        if (event.kind === 'sitting-opened') {
          add(event.body.probe, { fromMs: event.body.sinceMs, place: event.body.place });
        } else if (event.kind === 'sitting-ended') {
          add(event.body.probe, { fromMs: event.atMs, place: null });
        }
      }
    },
    placeOf: (probe, atMs) => {
      const stay = stays.get(probe)?.findLast(({ fromMs }) => fromMs <= atMs);
      return stay?.place ?? usualOf(probe);
    },
  };
}
