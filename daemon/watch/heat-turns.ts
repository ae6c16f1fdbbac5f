/** How a heat begins and ends, and how the hold after it opens by itself. */
import type { EventBody, Happening } from '../../shared/contract/event.ts';
import type { Input } from '../../shared/contract/input.ts';
import { crossedAtMs } from './crossing.ts';
import { openHeat } from './heat.ts';
import { feedPot, heatMetOf } from './heat-step.ts';
import { beginHold, openPotSitting } from './hold-turns.ts';
import type { Lane } from './lane.ts';
import { boilsOf, type HeatAsked, heatWindowOf, potToldOf } from './pot-rules.ts';
import { marginOf, type WatchRules } from './rules.ts';
import { sayOf } from './saying.ts';

export type HeatBegin = {
  input: Input;
  rules: WatchRules;
  asked: HeatAsked;
  volumeL?: number | undefined;
};

/** Opens a heat on a lane that has none; it begins now, with the minutes felt before it as what the pot is like. */
export function beginHeat(lane: Lane, { input, rules, asked, volumeL }: HeatBegin): Happening[] {
  const sinceMs = input.receivedMs;
  const { probe } = lane;
  const heat = openHeat({
    id: `heat-${probe}-${input.inputSeq}`,
    probe,
    sinceMs,
    window: heatWindowOf(rules, asked, sinceMs),
    marginC: marginOf(rules, probe),
    boilsC: boilsOf(rules),
    told: potToldOf(rules, probe, volumeL),
  });
  lane.heat = heat;
  lane.silentSinceMs = null;
  const { id: watch, window, marginC } = heat;
  const body = { watch, probe, window, sinceMs, marginC, seed: watch };
  return [
    ...openPotSitting(lane, input, rules),
    { ...sayOf(heat, { kind: 'watch-opened', atMs: input.receivedMs, body }), by: byOf(input) },
  ];
}

/** Closes a lane's heat, with how it came out; nothing where it has none. */
export function endHeat(
  lane: Lane,
  { atMs, reason }: { atMs: number; reason: EventBody<'watch-ended'>['reason'] },
): Happening[] {
  const { heat } = lane;
  if (heat === null) return [];
  const body = { watch: heat.id, reason, met: heatMetOf(heat, atMs), crossedAtMs: crossedAtMs(heat.typed) };
  lane.heat = null;
  lane.silentSinceMs = null;
  return [sayOf(heat, { kind: 'watch-ended', atMs, body })];
}

/** Feeds a reading to the heat of a lane; where it comes to its target the hold that follows opens. */
export function readHeat(
  lane: Lane,
  reading: { atMs: number; tempC: number; late: boolean },
  input: Input,
  rules: WatchRules,
): Happening[] {
  const { heat } = lane;
  if (heat === null) return [];
  feedPot(heat, reading, input.receivedMs);
  const { holdAfter } = heat.window;
  const crossedMs = crossedAtMs(heat.typed);
  if (holdAfter === null || heat.thenOpened || crossedMs === null || lane.hold !== null) return [];
  heat.thenOpened = true;
  return beginHold(lane, { input, rules, asked: holdAfter, sinceMs: crossedMs, heat });
}

function byOf(input: Input): Happening['by'] {
  if (input.kind === 'word') return { kind: 'person', id: input.by };
  if (input.kind === 'reading') return { kind: 'probe', id: input.reading.probe };
  return { kind: 'daemon', id: 'watch' };
}
