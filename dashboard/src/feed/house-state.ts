/** All that the page knows of the house, and the pure step that every message takes it by. */

import type {
  AnyWatchView,
  HistoryView,
  HouseView,
  LiveValue,
  Notice,
  ProbeView,
} from '../../../shared/contract/api.ts';
import type { HappeningOf, NoticeCode, RecordEvent } from '../../../shared/contract/event.ts';
import type { Letter } from '../../../shared/contract/notify.ts';
import { eventSentence } from '../../../shared/sentences/event-sentence.ts';
import type { Speech } from '../../../shared/sentences/speech.ts';
import { type Curve, curveFromHistory, emptyCurve, extendCurve, heardGapMs, lastBreakMs } from './curve.ts';

/** A view, and how new it surely is: the instant, by this machine's clock, of the feed's message or the list's question. */
type Held<View> = { view: View; asOfMs: number };

export type HouseState = {
  house: HouseView | null;
  /** What to add to this machine's clock to have the house's. */
  offsetMs: number;
  /** When the house was last heard, by this machine's clock; the page's opening before it was. */
  heardMs: number;
  probes: ReadonlyMap<string, Held<ProbeView>>;
  watches: ReadonlyMap<string, Held<AnyWatchView>>;
  curves: ReadonlyMap<string, Curve>;
  /** Newest first. */
  notices: readonly Notice[];
  /** Letters that came to this page while it was open, oldest first. */
  letters: readonly Letter[];
};

/** What the four lists answered; `askedMs` and `takenMs` are by this machine's clock. */
export type Lists = {
  askedMs: number;
  takenMs: number;
  house: HouseView;
  probes: readonly ProbeView[];
  watches: readonly AnyWatchView[];
  notices: readonly Notice[];
};

export type HouseInput =
  | ({ kind: 'lists' } & Lists)
  | { kind: 'value'; takenMs: number; value: LiveValue }
  | { kind: 'record'; takenMs: number; event: RecordEvent }
  | { kind: 'history'; takenMs: number; history: HistoryView };

/** The most notices that are kept; the oldest goes when it is reached. The record keeps them all. */
export const noticesMax = 50;

/** The most letters that are kept; the oldest goes when it is reached. The journal keeps them all. */
export const lettersMax = 20;

/** How long the house may be quiet before nothing on the page may look live. */
export const lostAfterMs = 15_000;

/** The state of a page that has just been opened and has heard nothing. */
export function openedState(nowMs: number): HouseState {
  return {
    house: null,
    offsetMs: 0,
    heardMs: nowMs,
    probes: new Map(),
    watches: new Map(),
    curves: new Map(),
    notices: [],
    letters: [],
  };
}

/** Returns true where the house has been quiet too long for its figures to be shown as live. */
export function isLost(state: HouseState, localMs: number): boolean {
  return localMs - state.heardMs > lostAfterMs;
}

/** The house's words: its units, zone and names of probes. UTC and °C before it was heard. */
export function speechOf(state: HouseState): Speech {
  const names = Object.fromEntries([...state.probes.values()].map(({ view }) => [view.id, view.name]));
  return {
    language: 'en',
    units: state.house?.units ?? 'C',
    zone: state.house?.zone ?? 'UTC',
    names,
  };
}

/** A curve that the page wants the history of. */
export type HistoryWish = {
  probe: string;
  fromMs: number;
  /**
   * What the curve lacks, as far as it can be told: another value means that the history is to be asked for
   * again. The live feed gives last values only, so a flush of what a probe had kept leaves a break.
   */
  lack: string;
};

/** How much of the time before a watch is asked for. */
const historyLeadMs = 120_000;

/** How much of what was before now the picture of a keep may show. */
export const keepPastMs = 12 * 3_600_000;

/** How much of a pot's curve before its watch began is asked for: a hold shows its climb. */
const potLeadMs = 16 * 60_000;

/** Lists the curves that the open watches want; `nowMs` is by the house's clock. */
export function historyWishes(state: HouseState, nowMs: number): HistoryWish[] {
  const fromOf = new Map<string, number>();
  const views = [...state.watches.values()].map(({ view }) => view).filter(({ state }) => state !== 'ended');
  // A chill wants its own hour sharp: where a probe has one, it has its wish before a keep.
  for (const view of views.filter(({ kind }) => kind === 'keep')) fromOf.set(view.probe, nowMs - keepPastMs);
  for (const view of views.filter(({ kind }) => kind === 'hold' || kind === 'heat')) {
    fromOf.set(view.probe, Math.min(view.sinceMs, fromOf.get(view.probe) ?? nowMs) - potLeadMs);
  }
  for (const view of views) {
    if (view.kind !== 'chill') continue;
    fromOf.set(view.probe, Math.min(view.sinceMs, view.window.originMs) - historyLeadMs);
  }
  return [...fromOf].map(([probe, fromMs]) => {
    const held = state.probes.get(probe)?.view ?? null;
    const curve = state.curves.get(probe) ?? emptyCurve;
    const breakMs = lastBreakMs(curve.points, heardGapMs(curve, held?.intervalMs ?? null));
    return { probe, fromMs, lack: `break ${breakMs}, late ${held?.counts.late ?? 0}` };
  });
}

/** Takes one message into the state; the same messages in the same order give the same state. */
export function reduceHouse(state: HouseState, input: HouseInput): HouseState {
  switch (input.kind) {
    case 'lists':
      return takeLists(state, input);
    case 'value':
      return takeValue({ ...state, heardMs: input.takenMs }, input.value, input.takenMs);
    case 'record':
      return takeRecord({ ...state, heardMs: input.takenMs }, input.event);
    case 'history': {
      const { history } = input;
      const before = state.curves.get(history.probe) ?? emptyCurve;
      return {
        ...state,
        curves: new Map(state.curves).set(history.probe, curveFromHistory(history, before)),
      };
    }
    default:
      return input satisfies never;
  }
}

function takeLists(state: HouseState, lists: Lists): HouseState {
  // The house read its clock somewhere between the question and the answer: take the middle.
  const offsetMs = lists.house.nowMs - Math.round((lists.askedMs + lists.takenMs) / 2);
  const taken: HouseState = {
    ...state,
    house: lists.house,
    offsetMs,
    heardMs: lists.takenMs,
    probes: mergeHeld(state.probes, lists.probes, lists.askedMs),
    watches: mergeHeld(state.watches, lists.watches, lists.askedMs),
    notices: mergeNotices(state.notices, lists.notices),
  };
  return lists.probes.reduce(extendByProbe, taken);
}

/**
 * A list replaces what is held, but for views that the live feed brought after the list was asked for:
 * those may be younger than the answer.
 */
function mergeHeld<View extends { id: string }>(
  held: ReadonlyMap<string, Held<View>>,
  listed: readonly View[],
  askedMs: number,
): ReadonlyMap<string, Held<View>> {
  const merged = new Map(listed.map((view): [string, Held<View>] => [view.id, { view, asOfMs: askedMs }]));
  for (const [id, one] of held) if (one.asOfMs >= askedMs) merged.set(id, one);
  return merged;
}

function takeValue(state: HouseState, value: LiveValue, takenMs: number): HouseState {
  switch (value.kind) {
    case 'probe': {
      const probes = new Map(state.probes).set(value.value.id, { view: value.value, asOfMs: takenMs });
      return extendByProbe({ ...state, probes }, value.value);
    }
    case 'watch': {
      const watches = new Map(state.watches).set(value.value.id, { view: value.value, asOfMs: takenMs });
      return { ...state, watches };
    }
    case 'letter':
      return { ...state, letters: [...state.letters, value.value].slice(-lettersMax) };
    default:
      return value satisfies never;
  }
}

/** Only probes on watch have a curve here: the others' figures are shown without a picture. */
function extendByProbe(state: HouseState, probe: ProbeView): HouseState {
  const curve = state.curves.get(probe.id);
  if (curve === undefined || probe.latest === null) return state;
  const { atMs, tempC } = probe.latest;
  return { ...state, curves: new Map(state.curves).set(probe.id, extendCurve(curve, { atMs, tempC })) };
}

function takeRecord(state: HouseState, event: RecordEvent): HouseState {
  if (!('weight' in event.body)) return state;
  const said = event as RecordEvent & HappeningOf<NoticeCode>;
  const notice: Notice = {
    v: 1,
    id: said.id,
    recordSeq: said.recordSeq,
    atMs: said.atMs,
    weight: said.body.weight,
    code: said.kind,
    watch: said.about.watch?.[0] ?? null,
    probe: said.about.probe?.[0] ?? null,
    text: eventSentence(said, speechOf(state)),
  };
  return { ...state, notices: mergeNotices(state.notices, [notice]) };
}

function mergeNotices(held: readonly Notice[], more: readonly Notice[]): readonly Notice[] {
  const known = new Map([...held, ...more].map((notice) => [notice.id, notice]));
  return [...known.values()].sort((a, b) => b.recordSeq - a.recordSeq).slice(0, noticesMax);
}
