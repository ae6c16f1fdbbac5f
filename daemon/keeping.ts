/** Keeps what the watching came to: events and snapshots, in order, again and again until the disk takes them. */
import type { Happening, RecordEvent } from '../shared/contract/event.ts';
import type { Writer } from './writer.ts';

export type Snapshots = Parameters<Writer['appendOutcome']>[0]['snapshots'];

export type KeepingOptions = {
  writer: Pick<Writer, 'appendOutcome'>;
  /** Called with new events after they are kept, in order. */
  onRecorded: (events: RecordEvent[]) => void;
  /** Called when events could not be kept (they are tried again), and with null when they were. */
  onTrouble: (error: Error | null) => void;
};

export type Keeping = {
  /** Events to keep, in order; one whose id is in the record already is left out there. */
  add(events: readonly Happening[]): void;
  /** The newest snapshots of lanes; they are kept together with all events added before. */
  keep(snapshots: Snapshots): void;
  /** Resolves when all is on disk, or when the disk refused once more. */
  flush(): Promise<void>;
};

/** How long after events could not be kept it is tried again. */
const retryMs = 1_000;
/** Events that wait while the disk refuses; more end the daemon, which rebuilds them from readings. */
export const waitingEventsMax = 100_000;

/** Opens the keeping; ids make what is kept twice harmless. */
export function openKeeping({ writer, onRecorded, onTrouble }: KeepingOptions): Keeping {
  let happenings: Happening[] = [];
  const snapshots = new Map<string, Snapshots[number]>();
  let writing: Promise<void> | null = null;
  let flushing = false;

  async function write(): Promise<void> {
    while (happenings.length > 0 || snapshots.size > 0) {
      const outcome = { happenings: happenings.splice(0), snapshots: [...snapshots.values()] };
      snapshots.clear();
      try {
        onRecorded(await writer.appendOutcome(outcome));
        onTrouble(null);
      } catch (error) {
        onTrouble(error instanceof Error ? error : new Error(String(error)));
        happenings = [...outcome.happenings, ...happenings];
        for (const kept of outcome.snapshots) if (!snapshots.has(kept.lane)) snapshots.set(kept.lane, kept);
        if (happenings.length > waitingEventsMax)
          throw new Error('too many events wait for a disk that refuses');
        if (flushing) return;
        await new Promise((resolve) => setTimeout(resolve, retryMs));
      }
    }
  }

  const start = (): void => {
    writing ??= write().finally(() => {
      writing = null;
    });
  };
  return {
    add: (events: readonly Happening[]) => {
      for (const event of events) happenings.push(event);
      if (happenings.length > 0) start();
    },
    keep: (kept: Snapshots) => {
      for (const snapshot of kept) snapshots.set(snapshot.lane, snapshot);
      start();
    },
    flush: async () => {
      flushing = true;
      while (writing !== null) await writing;
      flushing = false;
    },
  };
}
