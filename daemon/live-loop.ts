/** The watching as it runs live: committed inputs in, events to the record out, ticks by the clock. Wiring. */
import type { AnyWatchView } from '../shared/contract/api.ts';
import type { Happening, RecordEvent } from '../shared/contract/event.ts';
import type { Input } from '../shared/contract/input.ts';
import { openKeeping, type Snapshots } from './keeping.ts';
import { advance, drive } from './watch/drive.ts';
import { type Lane, laneVersion } from './watch/lane.ts';
import type { WatchRules } from './watch/rules.ts';
import { nextWakeMs, openWatching, type Watching } from './watch/step.ts';
import { watchViewsOf } from './watch/view.ts';
import type { Writer } from './writer.ts';

export type LiveLoopOptions = {
  writer: Pick<Writer, 'snapshots' | 'inputsAfter' | 'appendOutcome' | 'opened'>;
  rules: WatchRules;
  nowMs: () => number;
  /** Called with new events after they are kept, in order. */
  onRecorded: (events: RecordEvent[]) => void;
  /** Called when events could not be kept (they are tried again), and with null when they were. */
  onTrouble: (error: Error | null) => void;
};

export type LiveLoop = {
  /**
   * Takes committed inputs in the order of their numbers. Resolves when none waits any more; until then the
   * caller bounds what it hands over.
   */
  take(inputs: readonly Input[]): Promise<void>;
  /** From when no earlier input can come; ticks up to then are fed. Must be set before the first wake. */
  settledMs: () => number;
  lane(probe: string): Lane | null;
  /** Views of the open watches. */
  watches(): AnyWatchView[];
  /** Probes that were heard, or whose watch changed, since the last call. */
  changed(): Set<string>;
  /** The number of the newest input taken. */
  readonly inputSeq: number;
  /** Keeps every lane and resolves when all is on disk, or when it could not be. */
  close(): Promise<void>;
};

/** Inputs stepped in one go; one that brings a forecast ends the slice. */
const sliceMax = 200;
/** How often an open watch's lane is kept, and all lanes. */
const watchKeptEveryMs = 60_000;
const lanesKeptEveryMs = 15 * 60_000;
/** The longest wait for a wake: clocks drift, and a wake may be far. */
const waitMaxMs = 60_000;
/** Inputs taken from disk at a time on resume. */
const resumeSliceMax = 5_000;
/** Where a snapshot cannot be read, its lane is rebuilt from this many inputs before it. */
const rebuildInputs = 500_000;

/**
 * Opens the loop where the last run left off: lanes from their snapshots, then every input after them. What
 * they come to again is in the record already and says nothing new.
 */
export async function openLiveLoop(options: LiveLoopOptions): Promise<LiveLoop> {
  const { writer, rules, nowMs } = options;
  const { lanes, fromSeq } = lanesOf(await writer.snapshots());
  const watching = openWatching(lanes);
  const keeping = openKeeping(options);
  let inputSeq = fromSeq;
  for (;;) {
    const slice = await writer.inputsAfter(inputSeq, resumeSliceMax);
    if (slice.length === 0) break;
    for (const input of slice) keeping.add(drive(watching, input, rules));
    inputSeq = (slice.at(-1) as Input).inputSeq;
  }
  await keeping.flush();

  const waiting: Input[] = [];
  let stepping: Promise<void> | null = null;
  const changed = new Set<string>();
  const touched = new Set<string>();
  let timer: NodeJS.Timeout | null = null;
  let lanesKeptMs = nowMs();
  let watchesKeptMs = nowMs();

  const loop: LiveLoop = {
    settledMs: nowMs,
    take: (inputs) => {
      for (const input of inputs) waiting.push(input);
      if (stepping === null) {
        stepping = stepAll().finally(() => {
          stepping = null;
        });
      }
      return stepping;
    },
    lane: (probe) => watching.lanes.get(probe) ?? null,
    watches: () => viewsOf(watching),
    changed: () => {
      const now = new Set(changed);
      changed.clear();
      return now;
    },
    get inputSeq() {
      return inputSeq;
    },
    close: async () => {
      await stepping;
      if (timer !== null) clearTimeout(timer);
      keeping.keep(snapshotsOf(watching, watching.lanes.keys(), inputSeq));
      await keeping.flush();
    },
  };

  /** Steps all that waits, a slice at a time, so that the wires and the page are served in between. */
  async function stepAll(): Promise<void> {
    let next = 0;
    while (next < waiting.length) {
      const events: Happening[] = [];
      for (let steps = 0; steps < sliceMax && next < waiting.length; steps++) {
        const input = waiting[next++] as Input;
        const forecasts = (nextWakeMs(watching) ?? Infinity) <= input.receivedMs;
        for (const event of drive(watching, input, rules)) events.push(event);
        if (input.kind === 'reading') {
          changed.add(input.reading.probe);
          touched.add(input.reading.probe);
        }
        inputSeq = input.inputSeq;
        if (forecasts) break;
      }
      settle(events);
      if (next < waiting.length) await new Promise((resolve) => setImmediate(resolve));
    }
    waiting.length = 0;
  }

  function settle(events: readonly Happening[]): void {
    for (const event of events) {
      for (const probe of event.about.probe ?? []) {
        changed.add(probe);
        touched.add(probe);
      }
    }
    if (events.length > 0) {
      keeping.add(events);
      const probes = new Set(events.flatMap((event) => event.about.probe ?? []));
      keeping.keep(snapshotsOf(watching, probes, inputSeq));
    }
    keepDue();
    wait();
  }

  function keepDue(): void {
    const now = nowMs();
    if (now - lanesKeptMs >= lanesKeptEveryMs) {
      lanesKeptMs = now;
      watchesKeptMs = now;
      touched.clear();
      keeping.keep(snapshotsOf(watching, watching.lanes.keys(), inputSeq));
    } else if (now - watchesKeptMs >= watchKeptEveryMs) {
      watchesKeptMs = now;
      const open = [...touched].filter((probe) => watching.lanes.get(probe)?.chill);
      if (open.length > 0) keeping.keep(snapshotsOf(watching, open, inputSeq));
      touched.clear();
    }
  }

  function wait(): void {
    if (timer !== null) clearTimeout(timer);
    const wakeMs = nextWakeMs(watching) ?? Number.POSITIVE_INFINITY;
    timer = setTimeout(
      () => {
        timer = null;
        // Inputs that wait bring the ticks before them; the end of their steps sets the timer again.
        if (stepping !== null) return;
        const events = advance(watching, Math.min(nowMs(), loop.settledMs()), rules);
        for (const { probe } of viewsOf(watching)) changed.add(probe);
        settle(events);
      },
      Math.min(waitMaxMs, Math.max(tickLeastMs, wakeMs - nowMs())),
    );
  }

  wait();
  return loop;
}

/** The least wait for a wake, so that one which waits for a commit does not spin. */
const tickLeastMs = 5;

function lanesOf(snapshots: Awaited<ReturnType<Writer['snapshots']>>): { lanes: Lane[]; fromSeq: number } {
  const lanes: Lane[] = [];
  let fromSeq = snapshots.length === 0 ? 0 : Number.POSITIVE_INFINITY;
  for (const { stateVersion, inputSeq, body } of snapshots) {
    if (stateVersion !== laneVersion) {
      fromSeq = Math.min(fromSeq, Math.max(0, inputSeq - rebuildInputs));
      continue;
    }
    fromSeq = Math.min(fromSeq, inputSeq);
    lanes.push({ ...(JSON.parse(body) as Lane), inputSeq });
  }
  return { lanes, fromSeq };
}

function snapshotsOf(watching: Watching, probes: Iterable<string>, inputSeq: number): Snapshots {
  const snapshots: Snapshots[number][] = [];
  for (const probe of probes) {
    const lane = watching.lanes.get(probe);
    if (lane === undefined) continue;
    snapshots.push({ lane: probe, stateVersion: laneVersion, inputSeq, body: JSON.stringify(lane) });
  }
  return snapshots;
}

function viewsOf(watching: Watching): AnyWatchView[] {
  return [...watching.lanes.values()].flatMap(watchViewsOf);
}
