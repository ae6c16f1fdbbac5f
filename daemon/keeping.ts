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
  /** Called with the events that the disk just refused, before they are tried again. */
  onUnkept?: (happenings: readonly Happening[]) => void;
  /** How long after a refusal of the disk it is tried again. */
  retryMs?: number;
  /** The daemon's time, for what the events cause; that of the events unless given. */
  nowMs?: () => number;
};

export type Keeping = {
  /** Events to keep, in order; one whose id is in the record already is left out there. */
  add(events: readonly Happening[]): void;
  /** The newest snapshots of lanes; they are kept together with all events added before. */
  keep(snapshots: Snapshots): void;
  /** Tries at once; resolves when all is on disk, or when the disk refused once more and is tried later. */
  flush(): Promise<void>;
  /** As `flush`, and gives up what the disk then refused: a restart comes to it again. */
  close(): Promise<void>;
};

const retryMsUsual = 1_000;
/** Events that wait while the disk refuses; more end the daemon, which rebuilds them from readings. */
export const waitingEventsMax = 100_000;

/** Opens the keeping; ids make what is kept twice harmless. */
export function openKeeping(options: KeepingOptions): Keeping {
  const { writer, onRecorded, onTrouble, retryMs = retryMsUsual, nowMs, onUnkept } = options;
  let happenings: Happening[] = [];
  const snapshots = new Map<string, Snapshots[number]>();
  let writing: Promise<boolean> | null = null;
  let timer: NodeJS.Timeout | null = null;
  let closed = false;

  /** Writes until nothing waits; false where the disk refused. */
  async function write(): Promise<boolean> {
    while (happenings.length > 0 || snapshots.size > 0) {
      const outcome = { happenings: happenings.splice(0), snapshots: [...snapshots.values()] };
      snapshots.clear();
      const kept = await writer
        .appendOutcome({ ...outcome, nowMs: nowMs?.() })
        .catch((error: Error) => error);
      if (kept instanceof Error) {
        putBack(outcome);
        onUnkept?.(outcome.happenings);
        onTrouble(kept);
        return false;
      }
      onTrouble(null);
      onRecorded(kept);
    }
    return true;
  }

  function putBack(outcome: { happenings: Happening[]; snapshots: Snapshots }): void {
    happenings = [...outcome.happenings, ...happenings];
    for (const kept of outcome.snapshots) if (!snapshots.has(kept.lane)) snapshots.set(kept.lane, kept);
    if (happenings.length > waitingEventsMax) throw new Error('too many events wait for a disk that refuses');
  }

  /** Begins when the caller has added all that belongs together, so that it is one transaction. */
  function start(): Promise<boolean> {
    if (timer !== null) clearTimeout(timer);
    timer = null;
    writing ??= Promise.resolve()
      .then(write)
      .then((done) => {
        writing = null;
        if (!done && !closed) timer = setTimeout(start, retryMs);
        return done;
      });
    return writing;
  }

  /** Waits for what is written now, then tries what is left. */
  async function flush(): Promise<void> {
    await writing;
    if (happenings.length > 0 || snapshots.size > 0) await start();
  }

  return {
    add: (events) => {
      for (const event of events) happenings.push(event);
      if (happenings.length > 0 && timer === null) void start();
    },
    keep: (kept) => {
      for (const snapshot of kept) snapshots.set(snapshot.lane, snapshot);
      if (snapshots.size > 0 && timer === null) void start();
    },
    flush,
    close: async () => {
      closed = true;
      await flush();
      if (timer !== null) clearTimeout(timer);
    },
  };
}
