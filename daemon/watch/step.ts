/**
 * The reducer of all watching: `step(state, input, rules)` for inputs in the order of their numbers, and
 * ticks at the wakes it asked for. Pure: the same inputs give the same events, live and in a replay.
 */
import type { Happening } from '../../shared/contract/event.ts';
import type { Input, Tick } from '../../shared/contract/input.ts';
import { forgetAll, type Learnt, newestLearnt, rulesWith, takeLesson } from './house-learning.ts';
import { compareKeeps } from './keep-house.ts';
import { type Lane, openLane } from './lane.ts';
import { laneWakeMs, listenAgain, readAround, readLane, shiftLane, tickLane } from './lane-step.ts';
import type { WatchRules } from './rules.ts';
import { setAside } from './set-aside.ts';
import { probeOf, sayLane } from './word-step.ts';

/** All lanes by probe. Maps of plain JSON; `wakes` holds only lanes that want a tick. */
export type Watching = {
  lanes: Map<string, Lane>;
  wakes: Map<string, number>;
  /** What the house has learned of its places; null where nothing yet. */
  learnt: Learnt | null;
  /** Whether the clock was known at the newest start or turn; what lanes that open begin with. */
  clockKnown: boolean;
};

export type Step = {
  state: Watching;
  events: Happening[];
  /** The next instant at which a tick is wanted; null where only an input can change anything. */
  wakeAtMs: number | null;
};

/** Probes that the watching follows; readings of more are kept in the history but not watched. */
export const lanesMax = 1_000;

/** Opens a watching, with lanes that were kept from before. */
export function openWatching(lanes: readonly Lane[] = []): Watching {
  const state: Watching = {
    lanes: new Map(),
    wakes: new Map(),
    learnt: newestLearnt(lanes),
    clockKnown: lanes.some((lane) => lane.clockKnown === true),
  };
  for (const lane of lanes) {
    state.lanes.set(lane.probe, lane);
    setWake(state, lane);
  }
  return state;
}

/**
 * Takes over `state` (the caller must not use the old one) and returns it one input further. Inputs must
 * come in the order of their numbers; one that a lane had taken before a restart is passed over. Before an
 * input, every tick due before its receipt must have been fed.
 */
export function step(state: Watching, input: Input | Tick, rules: WatchRules): Step {
  const events: Happening[] = [];
  switch (input.kind) {
    case 'tick':
      for (const [probe, wakeMs] of state.wakes) {
        if (wakeMs <= input.atMs)
          stepLane(state, laneOf(state, probe), { events, atMs: input.atMs }, (lane) =>
            tickLane(lane, input.atMs),
          );
      }
      for (const lane of compareKeeps(state.lanes.values(), input.atMs)) setWake(state, lane);
      break;
    case 'reading':
      takeReading(state, input, rules, events);
      break;
    case 'word': {
      const probe = probeOf(input.word, state.lanes.values());
      events.push(wordSaid(input, probe));
      if (input.word.kind === 'prior-forget' && input.inputSeq > (state.learnt?.inputSeq ?? 0)) {
        const forgot = forgetAll(state.lanes.values(), state.learnt, input);
        state.learnt = forgot.learnt;
        events.push(forgot.event);
      }
      const lane = probe === null ? null : laneFor(state, probe, input.inputSeq);
      if (lane !== null)
        stepLane(state, lane, { events, atMs: input.receivedMs }, (it) =>
          sayLane(it, input, rulesWith(state.learnt, rules)),
        );
      break;
    }
    case 'clock':
      events.push(clockStepped(input));
      state.clockKnown = input.known;
      for (const lane of state.lanes.values()) {
        if (lane.inputSeq >= input.inputSeq) continue;
        lane.inputSeq = input.inputSeq;
        shiftLane(lane, input);
        setWake(state, lane);
      }
      break;
    case 'start':
      events.push(houseStarted(input));
      state.clockKnown = input.known;
      for (const lane of state.lanes.values()) {
        if (lane.inputSeq >= input.inputSeq) continue;
        lane.inputSeq = input.inputSeq;
        listenAgain(lane, input.receivedMs, input.known);
        setWake(state, lane);
      }
      break;
    default:
      input satisfies never;
  }
  return { state, events, wakeAtMs: nextWakeMs(state) };
}

/** The next instant at which a tick is wanted; null where there is none. */
export function nextWakeMs(state: Watching): number | null {
  let leastMs = Infinity;
  for (const wakeMs of state.wakes.values()) if (wakeMs < leastMs) leastMs = wakeMs;
  return leastMs === Infinity ? null : leastMs;
}

function takeReading(
  state: Watching,
  input: Extract<Input, { kind: 'reading' }>,
  rules: WatchRules,
  events: Happening[],
): void {
  const { reading } = input;
  const measures = rules.probes[reading.probe]?.measures ?? null;
  if (measures !== null) {
    for (const lane of state.lanes.values()) {
      if (lane.sitting?.place === measures && lane.inputSeq < input.inputSeq) readAround(lane, reading);
    }
  }
  const lane = laneFor(state, reading.probe, input.inputSeq);
  if (lane === null) return;
  stepLane(state, lane, { events, atMs: input.receivedMs }, (it) =>
    readLane(it, input, rulesWith(state.learnt, rules)),
  );
}

/** The lane of a probe for an input it has not taken yet; null where it has, or where there are too many. */
function laneFor(state: Watching, probe: string, inputSeq: number): Lane | null {
  let lane = state.lanes.get(probe);
  if (lane === undefined) {
    if (state.lanes.size >= lanesMax) return null;
    lane = openLane(probe);
    lane.clockKnown = state.clockKnown;
    state.lanes.set(probe, lane);
  }
  if (lane.inputSeq >= inputSeq) return null;
  lane.inputSeq = inputSeq;
  return lane;
}

function laneOf(state: Watching, probe: string): Lane {
  const lane = state.lanes.get(probe);
  if (lane === undefined) throw new Error(`no lane ${probe} for its own wake`);
  return lane;
}

/** A lane that throws harms no other: the input is set aside, and a person is told. */
function stepLane(
  state: Watching,
  lane: Lane,
  { events, atMs }: { events: Happening[]; atMs: number },
  does: (lane: Lane) => Happening[],
): void {
  try {
    for (const event of does(lane)) events.push(event);
    const taught = takeLesson(lane, state.learnt, atMs);
    if (taught !== null) {
      state.learnt = taught.learnt;
      events.push(taught.event);
    }
    setWake(state, lane);
  } catch {
    const aside = setAside(lane, atMs);
    for (const event of aside.events) events.push(event);
    state.lanes.set(lane.probe, aside.lane);
    setWake(state, aside.lane);
  }
}

function setWake(state: Watching, lane: Lane): void {
  const wakeMs = laneWakeMs(lane);
  if (wakeMs === Infinity) state.wakes.delete(lane.probe);
  else state.wakes.set(lane.probe, wakeMs);
}

function wordSaid(input: Extract<Input, { kind: 'word' }>, probe: string | null): Happening {
  return {
    kind: 'word-said',
    id: `house/word-said/${input.inputSeq}`,
    atMs: input.receivedMs,
    by: { kind: 'person', id: input.by },
    about: probe === null ? {} : { probe: [probe] },
    because: [],
    body: { wordId: input.wordId, word: input.word },
  };
}

function clockStepped(input: Extract<Input, { kind: 'clock' }>): Happening {
  return {
    kind: 'clock-stepped',
    id: `house/clock-stepped/${input.inputSeq}`,
    atMs: input.receivedMs,
    by: { kind: 'daemon', id: 'clock' },
    about: {},
    because: [],
    body: { deltaMs: input.deltaMs, known: input.known },
  };
}

function houseStarted(input: Extract<Input, { kind: 'start' }>): Happening {
  const { release, known: clockKnown, aliveUntilMs, clean } = input;
  return {
    kind: 'house-started',
    id: `house/house-started/${input.inputSeq}`,
    atMs: input.receivedMs,
    by: { kind: 'daemon', id: 'house' },
    about: {},
    because: [],
    body: { release, clockKnown, aliveUntilMs, clean },
  };
}
