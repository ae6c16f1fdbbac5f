/** How a keep begins and ends, and what each reading of its probe does. */
import type { EventBody, Happening } from '../../shared/contract/event.ts';
import type { Input, Reading } from '../../shared/contract/input.ts';
import type { KeepWindow } from '../../shared/contract/keep.ts';
import { openKeep } from './keep.ts';
import { feelRest, openKeepRest } from './keep-rest.ts';
import { keepPlaceOf } from './keep-rules.ts';
import { feedKeep } from './keep-step.ts';
import { keepLeftAtMs } from './keep-view.ts';
import type { Lane } from './lane.ts';
import { marginOf, probeRules, type WatchRules } from './rules.ts';
import { sayOf } from './saying.ts';

/**
 * Takes a reading for the keep of this lane: opens one once the probe has been at rest in its place's window,
 * and ends it where warm milk is watched by the same probe, or the jar was taken out.
 */
export function readKeep(
  lane: Lane,
  reading: Reading & { late: boolean },
  input: Input,
  rules: WatchRules,
): Happening[] {
  if (lane.chill !== null) {
    lane.rest = openKeepRest();
    return endKeep(lane, { atMs: input.receivedMs, reason: 'new-milk' });
  }
  if (lane.keep === null) return reading.late ? [] : rest(lane, reading, input, rules);
  const { events, leftAtMs } = feedKeep(lane.keep, reading, input.receivedMs);
  if (leftAtMs === null) return events;
  return [...events, ...endKeep(lane, { atMs: Math.max(leftAtMs, input.receivedMs), reason: 'taken-out' })];
}

export type KeepBegin = {
  sinceMs: number;
  input: Input;
  rules: WatchRules;
  /** A window that was asked for; the place's own otherwise. */
  window?: KeepWindow | undefined;
};

/** Opens a keep on a lane that has none, fed with what the probe felt lately; without a window it does nothing. */
export function beginKeep(lane: Lane, { sinceMs, input, rules, window }: KeepBegin): Happening[] {
  const at = keepPlaceOf(rules, lane.probe);
  const wanted = window ?? at?.window;
  if (wanted === undefined || lane.keep !== null || lane.chill !== null) return [];
  const told = probeRules(rules, lane.probe);
  const keep = openKeep({
    id: `keep-${lane.probe}-${input.inputSeq}`,
    probe: lane.probe,
    place: at?.place ?? told.place,
    placeKind: at?.placeKind ?? null,
    sinceMs,
    window: wanted,
    marginC: marginOf(rules, lane.probe),
    inVessel: at === null ? (told.volumeL === null ? null : true) : at.inVessel,
    volumeL: told.volumeL,
    leftByReadings: window !== undefined && at?.inVessel !== false,
  });
  lane.keep = keep;
  lane.rest = openKeepRest();
  for (const [atMs, tempC] of lane.recent) feedKeep(keep, { atMs, tempC, late: false }, input.receivedMs);
  const { id: watch, probe, marginC } = keep;
  const body = { watch, probe, window: wanted, sinceMs, marginC, seed: watch };
  return [{ ...sayOf(keep, { kind: 'watch-opened', atMs: input.receivedMs, body }), by: byOf(input) }];
}

/** Closes a lane's keep, with how it came out; nothing where it has none. */
export function endKeep(
  lane: Lane,
  { atMs, reason }: { atMs: number; reason: EventBody<'watch-ended'>['reason'] },
): Happening[] {
  const { keep } = lane;
  if (keep === null) return [];
  const crossedAtMs = keepLeftAtMs(keep);
  const body = { watch: keep.id, reason, met: crossedAtMs === null, crossedAtMs };
  lane.keep = null;
  lane.rest = openKeepRest();
  lane.silentSinceMs = null;
  return [sayOf(keep, { kind: 'watch-ended', atMs, body })];
}

function rest(lane: Lane, reading: Reading, input: Input, rules: WatchRules): Happening[] {
  if (!rules.startsByItself) return [];
  const at = keepPlaceOf(rules, lane.probe);
  if (at === null) return [];
  const felt = feelRest(lane.rest, reading, at);
  lane.rest = felt.rest;
  return felt.sinceMs === null ? [] : beginKeep(lane, { sinceMs: felt.sinceMs, input, rules });
}

function byOf(input: Input): Happening['by'] {
  if (input.kind === 'word') return { kind: 'person', id: input.by };
  if (input.kind === 'reading') return { kind: 'probe', id: input.reading.probe };
  return { kind: 'daemon', id: 'watch' };
}
