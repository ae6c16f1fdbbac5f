/** How a hold begins and ends. */
import type { EventBody, Happening } from '../../shared/contract/event.ts';
import type { HoldAsked } from '../../shared/contract/hold.ts';
import type { Input } from '../../shared/contract/input.ts';
import { holdLeastMs } from '../../shared/dairy/legal-holds.ts';
import type { Heat } from './heat.ts';
import { openHold } from './hold.ts';
import { feedHeld, holdCrossedAtMs } from './hold-step.ts';
import type { Lane } from './lane.ts';
import { holdMarginOf, holdWindowOf, potToldOf } from './pot-rules.ts';
import { probeRules, type WatchRules } from './rules.ts';
import { sayOf } from './saying.ts';

export type HoldBegin = {
  input: Input;
  rules: WatchRules;
  asked: HoldAsked;
  sinceMs: number;
  /** The heat before it, whose target and knowledge of the pot it takes over. */
  heat?: Heat | undefined;
};

/** Opens a hold on a lane that has none, fed with what was felt since it begins; without a limit it does nothing. */
export function beginHold(lane: Lane, { input, rules, asked, sinceMs, heat }: HoldBegin): Happening[] {
  const { probe } = lane;
  const window = holdWindowOf(asked, heat?.window ?? null);
  if (window === null || lane.hold !== null || window.holdMs < holdLeastMs) return [];
  const hold = openHold({
    id: `hold-${probe}-${input.inputSeq}`,
    probe,
    sinceMs,
    window,
    marginC: holdMarginOf(rules, probe, window),
    told: potToldOf(rules, probe),
    bank: heat === undefined ? null : (JSON.parse(JSON.stringify(heat.bank)) as Heat['bank']),
  });
  lane.hold = hold;
  lane.silentSinceMs = null;
  const { id: watch, marginC } = hold;
  const body = { watch, probe, window, sinceMs, marginC, seed: watch };
  const opened = { ...sayOf(hold, { kind: 'watch-opened', atMs: input.receivedMs, body }), by: byOf(input) };
  const events = [...openPotSitting(lane, input, rules), opened];
  if (input.kind === 'reading') {
    const { atMs, tempC } = input.reading;
    const late = lane.latest !== null && atMs < lane.latest.atMs;
    events.push(...feedHeld(hold, { atMs, tempC, late }, input.receivedMs));
  }
  return events;
}

/** Closes a lane's hold, with how it came out; nothing where it has none. */
export function endHold(
  lane: Lane,
  { atMs, reason }: { atMs: number; reason: EventBody<'watch-ended'>['reason'] },
): Happening[] {
  const { hold } = lane;
  if (hold === null) return [];
  const body = { watch: hold.id, reason, met: hold.proof !== null, crossedAtMs: holdCrossedAtMs(hold) };
  lane.hold = null;
  lane.silentSinceMs = null;
  return [sayOf(hold, { kind: 'watch-ended', atMs, body })];
}

/** Opens the sitting of a pot where its lane has none. */
export function openPotSitting(lane: Lane, input: Input, rules: WatchRules): Happening[] {
  if (lane.sitting !== null) return [];
  const { probe } = lane;
  const { place, volumeL, material } = probeRules(rules, probe);
  const placeKind = place === null ? null : (rules.places[place]?.kind ?? null);
  const sinceMs = input.receivedMs;
  const id = `sitting-${probe}-${input.inputSeq}`;
  lane.sitting = { id, place, sinceMs };
  return [
    {
      kind: 'sitting-opened',
      id: `${id}/sitting-opened/1`,
      atMs: sinceMs,
      by: byOf(input),
      about: { sitting: [id], probe: [probe], ...(place === null ? {} : { place: [place] }) },
      because: [],
      body: { probe, place, placeKind, volumeL, material, sinceMs },
    },
  ];
}

function byOf(input: Input): Happening['by'] {
  if (input.kind === 'word') return { kind: 'person', id: input.by };
  if (input.kind === 'reading') return { kind: 'probe', id: input.reading.probe };
  return { kind: 'daemon', id: 'watch' };
}
