import type { ChillWindow } from '../../shared/contract/event.ts';
import type { Rescue, RescueKind, Verdict } from '../../shared/contract/forecast.ts';
import type { Material, PlaceKind } from '../../shared/contract/ids.ts';
import type { Lesson } from '../../shared/contract/prior.ts';
import type { AtHand } from '../../shared/dairy/at-hand.ts';
import type { ChillOutlook, ChillQuestion } from '../forecast/chill-forecast.ts';
import { type ChillTrace, openChillTrace } from '../forecast/chill-trace.ts';
import { openWarning, type WarningState } from '../forecast/warning.ts';
import { type Outer, shiftOuter } from './chill-outer.ts';
import { type Crossing, openCrossing, shiftCrossing } from './crossing.ts';
import { type MilkEnd, openMilkEnd } from './milk-end.ts';
import { type Move, movedMs } from './moved-clock.ts';

/** One open chill: a sitting's milk against its window. Plain JSON. */
export type Chill = {
  id: string;
  probe: string;
  sinceMs: number;
  window: ChillWindow;
  marginC: number;
  told: ChillQuestion['told'];
  trace: ChillTrace;
  warning: WarningState;
  verdict: Verdict;
  end: MilkEnd;
  /** At the limit as typed, and at the limit less the margin. */
  typed: Crossing;
  guarded: Crossing;
  /** What the region's rule asks of this milk beyond the house's own, soonest first. */
  outer: Outer[];
  milkingBeganMs: number | null;
  /** The readings next to the deadline on either side. */
  beforeDeadline: Heard | null;
  afterDeadline: Heard | null;
  latest: Heard | null;
  outlook: ChillOutlook | null;
  /** Ways out, quickest first, while it is not on course. */
  rescues: Rescue[];
  /** Which part of them was made anew last. */
  waySlice: number;
  /** What the house has at hand for them, and which were taken, in their order. */
  atHand: AtHand;
  taken: Taken[];
  /** The place in which it stands, by its id, and what the house had learned of it when it began. */
  stands?: string | null;
  prior?: { id: string; lessons: Lesson[] };
  /** The newest of its stretches that has taught; they are told apart by how many ways out were taken. */
  taught?: number;
  /** The tick at which the next forecast is due; null where no new data came. */
  forecastDueMs: number | null;
  /** Newest data in the outlook; the next forecast waits until data is 10 s beyond. */
  forecastDataMs: number | null;
  made: boolean;
  missed: boolean;
  late: boolean;
  /** How often each code was said; the ordinal of the next event's id. */
  said: Record<string, number>;
};

/** A way out that a person said was taken; the milk's curve begins anew at that instant. */
export type Taken = { kind: RescueKind; atMs: number };

export type Heard = { atMs: number; tempC: number };

export type ChillStart = {
  id: string;
  probe: string;
  sinceMs: number;
  window: ChillWindow;
  marginC: number;
  place: PlaceKind | null;
  aroundC: number | null;
  volumeL: number | null;
  material: Material | null;
  atHand: AtHand;
  taken: Taken[];
};

/** Opens a chill without readings. Its seed is its id, so that a replay draws the same. */
export function openChill(start: ChillStart): Chill {
  const { id, probe, sinceMs, window, marginC, place, aroundC, volumeL, material, atHand, taken } = start;
  return {
    id,
    probe,
    sinceMs,
    window,
    marginC,
    told: { place, aroundC, volumeL, material },
    trace: openChillTrace(id),
    warning: openWarning(),
    verdict: 'unsure',
    end: openMilkEnd(),
    typed: openCrossing(),
    guarded: openCrossing(),
    outer: [],
    milkingBeganMs: null,
    beforeDeadline: null,
    afterDeadline: null,
    latest: null,
    outlook: null,
    rescues: [],
    waySlice: 0,
    atHand,
    taken,
    forecastDueMs: null,
    forecastDataMs: null,
    made: false,
    missed: false,
    late: false,
    said: {},
  };
}

/** What the forecast is asked about this chill; after a way out was taken, by what came since. */
export function questionOf(chill: Chill): ChillQuestion {
  return {
    limitC: chill.window.limitC,
    marginC: chill.marginC,
    deadlineMs: chill.window.deadlineMs,
    sinceMs: regimeSinceMs(chill),
    told: chill.told,
    // What was learned of a place is not about milk that a way out made stand otherwise.
    lessons: chill.stands === null ? [] : (chill.prior?.lessons ?? []),
    atHand: chill.atHand,
    done: chill.taken.map(({ kind }) => kind),
  };
}

/** Since when this milk cools as it does now: since it went in, or since a way out was taken. */
export function regimeSinceMs({ sinceMs, taken }: Chill): number {
  return Math.max(sinceMs, taken.at(-1)?.atMs ?? sinceMs);
}

/** Takes over `chill` after a turn of the clock its readings go by. */
export function shiftChill(chill: Chill, move: Move): Chill {
  const moved = (heard: Heard | null) => heard && { ...heard, atMs: movedMs(heard.atMs, move) };
  const originMs = movedMs(chill.window.originMs, move);
  const { sinceMs, trace } = chill;
  // A curve of which only a part moves is no curve: what comes now begins a new one.
  const isTorn = (trace.originMs ?? move.fromMs) < move.fromMs;
  return {
    ...chill,
    sinceMs: movedMs(sinceMs, move),
    window: { ...chill.window, originMs, deadlineMs: originMs + chill.window.spanMs },
    trace: isTorn ? openChillTrace(chill.id) : { ...trace, originMs: movedMs(trace.originMs, move) },
    typed: shiftCrossing(chill.typed, move),
    guarded: shiftCrossing(chill.guarded, move),
    outer: chill.outer.map((one) => shiftOuter(one, { move, sinceMs })),
    milkingBeganMs: movedMs(chill.milkingBeganMs, move),
    taken: chill.taken.map(({ kind, atMs }) => ({ kind, atMs: movedMs(atMs, move) })),
    // The end is looked for anew: its few minutes of memory hold instants of the old clock.
    end: openMilkEnd(),
    beforeDeadline: moved(chill.beforeDeadline),
    afterDeadline: moved(chill.afterDeadline),
    latest: moved(chill.latest),
    outlook: null,
    rescues: [],
    forecastDueMs: chill.forecastDueMs === null ? null : chill.forecastDueMs + move.deltaMs,
    forecastDataMs: null,
  };
}
