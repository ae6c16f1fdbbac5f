/** How a chill begins and ends, and what a person's word does to it. */
import type { ChillWindow, EventBody, Happening } from '../../shared/contract/event.ts';
import type { Input } from '../../shared/contract/input.ts';
import { nothingTold } from '../../shared/dairy/at-hand.ts';
import { type Chill, openChill, type Taken } from './chill.ts';
import { cutLesson, pinnedPrior } from './chill-lesson.ts';
import { openOuter, resetOuter } from './chill-outer.ts';
import { feedMilk, metOf } from './chill-step.ts';
import { crossedAtMs } from './crossing.ts';
import type { Lane } from './lane.ts';
import { marginOf, probeRules, type WatchRules } from './rules.ts';
import { sayOf } from './saying.ts';

/** The end of milking counts for a chill that begins within this span of it. */
const milkingCountsMs = 2 * 3_600_000;

export type ChillBegin = {
  sinceMs: number;
  origin: 'insertion' | 'first-reading' | 'word';
  input: Input;
  rules: WatchRules;
  limitC?: number | undefined;
  spanMs?: number | undefined;
  volumeL?: number | undefined;
  place?: string | undefined;
  /** The window of the watch before, where milk only moved to another place. */
  window?: ChillWindow | undefined;
  /** Ways out that were taken with this milk before. */
  taken?: Taken[] | undefined;
  /** When milking began, where the watch before knew it. */
  milkingBeganMs?: number | null | undefined;
};

/** Opens a sitting and its chill on a lane that has none, fed with what the probe felt since it began. */
export function beginChill(lane: Lane, begin: ChillBegin): Happening[] {
  const { sinceMs, input, rules } = begin;
  const told = probeRules(rules, lane.probe);
  const place = begin.place ?? told.place;
  const placeRules = place === null ? undefined : rules.places[place];
  const volumeL = begin.volumeL ?? told.volumeL;
  lane.chill = openChill({
    id: `chill-${lane.probe}-${input.inputSeq}`,
    probe: lane.probe,
    sinceMs,
    window: begin.window ?? windowOf(lane, begin),
    marginC: marginOf(rules, lane.probe),
    place: placeRules?.kind ?? null,
    aroundC: placeRules?.aroundC ?? null,
    volumeL,
    material: told.material,
    atHand: rules.atHand ?? nothingTold,
    taken: begin.taken ?? [],
  });
  lane.sitting = { id: `sitting-${lane.probe}-${input.inputSeq}`, place, sinceMs };
  lane.chill.stands = place;
  const setup = { place, kind: lane.chill.told.place, material: told.material, volumeL };
  const prior = pinnedPrior(rules.prior, setup);
  if (prior !== null) lane.chill.prior = prior;
  lane.chill.milkingBeganMs = begin.milkingBeganMs ?? lane.milkingBeganMs;
  lane.chill.outer = openOuter(lane.chill, rules.region);
  lane.milkingEndedMs = null;
  lane.milkingBeganMs = null;
  lane.silentSinceMs = null;
  // The end of the milk is felt for from now on: the rise that began it must not be taken for the next jar's.
  for (const [atMs, tempC] of lane.recent) {
    feedMilk(lane.chill, { atMs, tempC, late: true }, input.receivedMs);
  }
  return [
    sittingOpened(lane, input, {
      probe: lane.probe,
      place,
      placeKind: placeRules?.kind ?? null,
      volumeL,
      material: told.material,
      sinceMs,
    }),
    watchOpened(lane.chill, input),
  ];
}

/** Closes a lane's chill and sitting, with how it came out. */
export function endChill(
  lane: Lane,
  end: { atMs: number; reason: EventBody<'watch-ended'>['reason'] },
): Happening[] {
  const { chill, sitting } = lane;
  if (chill === null) return [];
  const { atMs, reason } = end;
  const lesson = cutLesson(chill, atMs);
  if (lesson !== null) lane.lesson = lesson;
  const body = {
    watch: chill.id,
    reason,
    met: metOf(chill, atMs),
    crossedAtMs: crossedAtMs(chill.typed),
  };
  const events = [sayOf(chill, { kind: 'watch-ended', atMs, body })];
  if (sitting !== null && (reason === 'taken-out' || reason === 'moved' || reason === 'word')) {
    events.push({
      kind: 'sitting-ended',
      id: `${sitting.id}/sitting-ended/1`,
      atMs,
      by: { kind: 'daemon', id: 'watch' },
      about: { sitting: [sitting.id], probe: [lane.probe] },
      because: [],
      body: { probe: lane.probe, reason },
    });
    lane.sitting = null;
  }
  lane.chill = null;
  lane.silentSinceMs = null;
  return events;
}

/**
 * The milk of a lane's chill now stands in another place: a new watch with the old window, and with the ways out
 * that brought it there. Nothing where no chill is open.
 */
export function moveChill(
  lane: Lane,
  { place, taken }: { place: string; taken: Taken[] },
  { input, rules }: { input: Input; rules: WatchRules },
): Happening[] {
  const { chill } = lane;
  if (chill === null) return [];
  const { receivedMs } = input;
  const { milkingBeganMs, told, window } = chill;
  const ended = endChill(lane, { atMs: receivedMs, reason: 'moved' });
  lane.recent = [];
  const begin = {
    sinceMs: receivedMs,
    origin: window.origin === 'milking' ? ('word' as const) : window.origin,
    input,
    rules,
    window,
    volumeL: told.volumeL ?? undefined,
    place,
    taken,
    milkingBeganMs,
  };
  return [...ended, ...beginChill(lane, begin)];
}

/** Lets the window of a chill count from the end of milking. */
export function countFromMilking(
  lane: Lane,
  milking: { originMs: number; beganMs: number | null },
  atMs: number,
): Happening[] {
  const { chill } = lane;
  const { originMs, beganMs } = milking;
  if (chill === null) {
    lane.milkingEndedMs = originMs;
    lane.milkingBeganMs = beganMs;
    return [];
  }
  const { spanMs, limitC } = chill.window;
  chill.window = { limitC, spanMs, originMs, origin: 'milking', deadlineMs: originMs + spanMs };
  chill.milkingBeganMs = beganMs;
  chill.outer = resetOuter(chill);
  chill.beforeDeadline = null;
  chill.afterDeadline = null;
  chill.forecastDueMs = atMs;
  const body = { watch: chill.id, window: chill.window };
  return [sayOf(chill, { kind: 'window-moved', atMs, body })];
}

function windowOf(lane: Lane, begin: ChillBegin): ChillWindow {
  const { limitC = begin.rules.chill.limitC, spanMs = begin.rules.chill.spanMs, sinceMs } = begin;
  const milked = lane.milkingEndedMs;
  const counts = milked !== null && milked <= sinceMs + 60_000 && sinceMs - milked <= milkingCountsMs;
  const originMs = counts ? milked : sinceMs;
  const origin = counts ? 'milking' : begin.origin;
  return { limitC, spanMs, originMs, origin, deadlineMs: originMs + spanMs };
}

function sittingOpened(lane: Lane, input: Input, body: EventBody<'sitting-opened'>): Happening {
  const id = `sitting-${lane.probe}-${input.inputSeq}`;
  return {
    kind: 'sitting-opened',
    id: `${id}/sitting-opened/1`,
    atMs: input.receivedMs,
    by: byOf(input),
    about: { sitting: [id], probe: [lane.probe], ...(body.place === null ? {} : { place: [body.place] }) },
    because: [],
    body,
  };
}

function watchOpened(chill: Chill, input: Input): Happening {
  const { id: watch, probe, window, sinceMs, marginC } = chill;
  const pinned = chill.prior === undefined ? {} : { prior: chill.prior.id };
  const body = { watch, probe, window, sinceMs, marginC, seed: chill.trace.seed, ...pinned };
  return {
    ...sayOf(chill, { kind: 'watch-opened', atMs: input.receivedMs, body }),
    by: byOf(input),
  };
}

function byOf(input: Input): Happening['by'] {
  if (input.kind === 'word') return { kind: 'person', id: input.by };
  if (input.kind === 'reading') return { kind: 'probe', id: input.reading.probe };
  return { kind: 'daemon', id: 'watch' };
}
