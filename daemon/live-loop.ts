/** The watching as it runs live: committed inputs in, events to the record out, ticks by the clock. Wiring. */
import type { AnyWatchView } from '../shared/contract/api.ts';
import type { Happening, RecordEvent } from '../shared/contract/event.ts';
import type { Input } from '../shared/contract/input.ts';
import type { HousePrior } from '../shared/contract/prior.ts';
import { openKeeping } from './keeping.ts';
import { lanesOf, openLaneKeeping } from './lane-keeping.ts';
import { advance, drive } from './watch/drive.ts';
import type { Lane } from './watch/lane.ts';
import type { WatchRules } from './watch/rules.ts';
import { nextWakeMs, openWatching } from './watch/step.ts';
import { watchViewsOf } from './watch/view.ts';
import type { Writer } from './writer.ts';

export type LiveLoopOptions = {
  writer: Pick<Writer, 'snapshots' | 'inputsAfter' | 'appendOutcome'>;
  rules: WatchRules;
  nowMs: () => number;
  /** Called with new events after they are kept, in order. */
  onRecorded: (events: RecordEvent[]) => void;
  /** Called when events could not be kept (they are tried again), and with null when they were. */
  onTrouble: (error: Error | null) => void;
  /** Called with the events that the disk just refused, before they are tried again. */
  onUnkept?: (happenings: readonly Happening[]) => void;
  /** How long after a refusal of the disk it is tried again; a second unless given. */
  retryMs?: number;
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
  /** Every lane as the newest input left it; not to be changed. */
  lanes(): Iterable<Lane>;
  /** What the house has learned of its places; null where nothing yet. */
  prior(): HousePrior | null;
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
/** The longest wait for a wake: clocks drift, and a wake may be far. */
const waitMaxMs = 60_000;
/** The least wait for a wake, so that one which waits for a commit does not spin. */
const waitLeastMs = 5;
/** The wait for a wake that is due behind an input which is not committed yet; the steps of that input end it. */
const waitBehindMs = 250;
/** Inputs taken from disk at a time on resume. */
const resumeSliceMax = 5_000;

/**
 * Opens the loop where the last run left off: lanes from their snapshots, then every input after them. What
 * they come to again is in the record already and says nothing new.
 */
export async function openLiveLoop(options: LiveLoopOptions): Promise<LiveLoop> {
  const { writer, rules, nowMs } = options;
  const resumed = lanesOf(await writer.snapshots());
  const watching = openWatching(resumed.lanes);
  const keeping = openKeeping(options);
  let inputSeq = resumed.fromSeq;
  let replayed = 0;
  for (;;) {
    const slice = await writer.inputsAfter(inputSeq, resumeSliceMax);
    if (slice.length === 0) break;
    for (const input of slice) keeping.add(drive(watching, input, rules));
    inputSeq = (slice.at(-1) as Input).inputSeq;
    replayed += slice.length;
    await keeping.flush();
  }

  const waiting: Input[] = [];
  let stepping: Promise<void> | null = null;
  const changed = new Set<string>();
  let timer: NodeJS.Timeout | null = null;
  const lanes = openLaneKeeping({
    watching,
    kept: resumed.lanes.map(({ probe }) => probe),
    inputSeq: () => inputSeq,
    keep: keeping.keep,
    nowMs,
  });
  // Lives shorter than the span between two keepings would each begin at the same place, ever further back.
  if (replayed > resumeSliceMax) lanes.keepAll();

  const loop: LiveLoop = {
    settledMs: nowMs,
    take: (inputs) => {
      for (const input of inputs) waiting.push(input);
      stepping ??= stepAll().finally(() => {
        stepping = null;
      });
      return stepping;
    },
    lane: (probe) => watching.lanes.get(probe) ?? null,
    lanes: () => watching.lanes.values(),
    prior: () => watching.learnt?.prior ?? null,
    watches: () => [...watching.lanes.values()].flatMap(watchViewsOf),
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
      lanes.keepAll();
      await keeping.close();
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
        if (input.kind === 'reading') touch(input.reading.probe);
        inputSeq = input.inputSeq;
        if (forecasts) break;
      }
      settle(events);
      if (next < waiting.length) await new Promise((resolve) => setImmediate(resolve));
    }
    waiting.length = 0;
  }

  function touch(probe: string): void {
    changed.add(probe);
    lanes.touch(probe);
  }

  function settle(events: readonly Happening[]): void {
    if (events.length > 0) {
      const probes = new Set(events.flatMap(({ about }) => about.probe ?? []));
      for (const probe of probes) touch(probe);
      keeping.add(events);
      lanes.keep(probes);
    }
    lanes.keepDue();
    wait();
  }

  function wait(): void {
    if (timer !== null) clearTimeout(timer);
    const wakeMs = nextWakeMs(watching) ?? Number.POSITIVE_INFINITY;
    const isBehind = wakeMs <= nowMs() && loop.settledMs() < wakeMs;
    const leastMs = isBehind ? waitBehindMs : waitLeastMs;
    timer = setTimeout(wake, Math.min(waitMaxMs, Math.max(leastMs, wakeMs - nowMs())));
  }

  function wake(): void {
    timer = null;
    // Inputs that wait bring the ticks before them; the end of their steps sets the timer again.
    if (stepping !== null) return;
    const toMs = Math.min(nowMs(), loop.settledMs());
    for (const [probe, wakeMs] of watching.wakes) if (wakeMs <= toMs) changed.add(probe);
    settle(advance(watching, toMs, rules));
  }

  wait();
  return loop;
}
