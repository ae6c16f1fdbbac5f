/** What one lane does on each kind of input. It takes over the lane it is given. */
import type { Happening } from '../../shared/contract/event.ts';
import { type Input, type Reading, readingFlags } from '../../shared/contract/input.ts';
import { type Chill, regimeSinceMs, shiftChill } from './chill.ts';
import { chillWakeMs, endsAtMs, feedAround, feedMilk, tickChill } from './chill-step.ts';
import { beginChill, endChill } from './chill-turns.ts';
import { shiftHeat } from './heat.ts';
import { feedPotRoom, heatEndsAtMs, heatWakeMs, tickHeat } from './heat-step.ts';
import { endHeat, readHeat } from './heat-turns.ts';
import { shiftHold } from './hold.ts';
import { feedHeld, feedHeldAir, holdEndsAtMs, holdWakeMs, restartHold, tickHold } from './hold-step.ts';
import { endHold } from './hold-turns.ts';
import { shiftKeep } from './keep.ts';
import { openKeepRest } from './keep-rest.ts';
import { keepWakeMs, tickKeep } from './keep-step.ts';
import { readKeep } from './keep-turns.ts';
import { type Lane, remember } from './lane.ts';
import { judgeTrust } from './lane-doubt.ts';
import type { LeftMilk } from './milk-end.ts';
import { type FoundMilk, feelStart, openMilkStart } from './milk-start.ts';
import { type Move, movedMs } from './moved-clock.ts';
import { openTrust } from './probe-trust.ts';
import { feelRhythm, silentAfterMs, usualMs } from './rhythm.ts';
import { chillsByItself, type WatchRules } from './rules.ts';
import { type Sayer, sayOf } from './saying.ts';

type ReadingInput = Extract<Input, { kind: 'reading' }>;

/** Takes a reading of this lane's own probe. */
export function readLane(lane: Lane, input: ReadingInput, rules: WatchRules): Happening[] {
  const { reading, receivedMs } = input;
  const events = hear(lane, reading, receivedMs);
  if ((reading.flags & readingFlags.undated) !== 0) return events;
  const late = lane.latest !== null && reading.atMs < lane.latest.atMs;
  lane.byReceipt = (reading.flags & readingFlags.receipt) !== 0;
  const judging = { receivedMs, watch: openWatchOf(lane) };
  const { usable, suspect, said } = judgeTrust(lane, { ...reading, late }, judging);
  events.push(...said);
  if (!usable) return events;
  if (!late) {
    lane.latest = { atMs: reading.atMs, tempC: reading.tempC };
    remember(lane, reading.atMs, reading.tempC);
  }
  const found = !late && feelsForMilk(lane, rules) ? feelForMilk(lane, reading) : null;
  if (lane.chill !== null) {
    const { left } = feedMilk(lane.chill, { ...reading, late }, receivedMs);
    const gone = nextJar(lane.chill, found) ?? left;
    if (gone !== null) events.push(...leaveMilk(lane, gone, input, rules));
  } else if (found !== null) {
    events.push(...beginChill(lane, { sinceMs: found.sinceMs, origin: found.by, input, rules }));
  }
  if (lane.hold !== null) events.push(...feedHeld(lane.hold, { ...reading, late }, receivedMs));
  if (!suspect) events.push(...readHeat(lane, { ...reading, late }, input, rules));
  if (lane.heat !== null || lane.hold !== null) return events;
  events.push(...readKeep(lane, { ...reading, late }, input, rules));
  return events;
}

/** Takes a reading of the air or water in which this lane's vessel stands. */
export function readAround(lane: Lane, reading: Reading): void {
  if ((reading.flags & readingFlags.undated) !== 0) return;
  if (lane.chill !== null) feedAround(lane.chill, reading);
  if (lane.heat !== null) feedPotRoom(lane.heat, reading);
  if (lane.hold !== null) feedHeldAir(lane.hold, reading);
}

/** Does what is due at `atMs`. */
export function tickLane(lane: Lane, atMs: number): Happening[] {
  const { chill, keep } = lane;
  const events = chill !== null ? tickChill(chill, atMs) : keep !== null ? tickKeep(keep, atMs) : [];
  if (atMs >= heardDueMs(lane)) events.push(...tellHeard(lane, atMs, lane.latest?.tempC ?? 0));
  events.push(...tickPot(lane, atMs), ...judgeSilence(lane, atMs));
  if (chill === null) return events;
  if (atMs >= endsAtMs(chill)) {
    events.push(...endChill(lane, { atMs, reason: chill.made || chill.late ? 'cold-enough' : 'too-long' }));
  }
  return events;
}

/** Does what is due for the pot of this lane, and closes what is over. */
function tickPot(lane: Lane, atMs: number): Happening[] {
  const { heat, hold } = lane;
  const events: Happening[] = [];
  if (heat !== null) {
    events.push(...tickHeat(heat, atMs));
    if (atMs >= heatEndsAtMs(heat))
      events.push(...endHeat(lane, { atMs, reason: heat.reached ? 'reached' : 'too-long' }));
  }
  if (hold !== null) {
    events.push(...tickHold(hold, atMs));
    if (atMs >= holdEndsAtMs(hold))
      events.push(...endHold(lane, { atMs, reason: hold.proof !== null ? 'held' : 'too-long' }));
  }
  return events;
}

/** When this lane wants the next tick; Infinity where only an input can change anything. */
export function laneWakeMs(lane: Lane): number {
  return Math.min(heardDueMs(lane), watchWakeMs(lane));
}

function watchWakeMs(lane: Lane): number {
  const { chill, keep, heat, hold } = lane;
  if (heat !== null || hold !== null) {
    const heatMs = heat === null ? Infinity : heatWakeMs(heat);
    return Math.min(heatMs, hold === null ? Infinity : holdWakeMs(hold), silentAtMs(lane));
  }
  if (chill !== null) return Math.min(chillWakeMs(chill), silentAtMs(lane));
  return keep === null ? Infinity : Math.min(keepWakeMs(keep), silentAtMs(lane));
}

/**
 * The daemon was not listening until now: its own silence is not the probe's. Where nobody knows for how long
 * (`spanKnown` false), a hold begins again.
 */
export function listenAgain(lane: Lane, atMs: number, spanKnown: boolean): void {
  if (!spanKnown && lane.hold !== null) restartHold(lane.hold, atMs);
  // A second start without the time changes nothing: what was known before the first is still right.
  if (!spanKnown && lane.clockKnown === true) lane.unknownFromMs = atMs;
  if (spanKnown) delete lane.unknownFromMs;
  lane.clockKnown = spanKnown;
  tellUnsure(lane);
  if (lane.lastReceivedMs !== null) lane.lastReceivedMs = Math.max(lane.lastReceivedMs, atMs);
}

/** Lets an open chill say whether its hour goes by a clock that is not known. */
function tellUnsure({ chill, unknownFromMs }: Lane): void {
  if (chill === null) return;
  const { clockUnsureFromMs: _, ...window } = chill.window;
  chill.window = unknownFromMs === undefined ? window : { ...window, clockUnsureFromMs: unknownFromMs };
}

/** Shifts a lane whose instants go by the daemon's own clock after that was set. */
export function shiftLane(lane: Lane, { deltaMs, known }: { deltaMs: number; known: boolean }): void {
  moveLane(lane, { deltaMs, fromMs: lane.unknownFromMs ?? Number.NEGATIVE_INFINITY });
  if (known) delete lane.unknownFromMs;
  lane.clockKnown = known;
  tellUnsure(lane);
}

function moveLane(lane: Lane, move: Move): void {
  const { deltaMs } = move;
  lane.lastReceivedMs = lane.lastReceivedMs === null ? null : lane.lastReceivedMs + deltaMs;
  lane.silentSinceMs = lane.silentSinceMs === null ? null : lane.silentSinceMs + deltaMs;
  if (lane.heardAgain !== null)
    lane.heardAgain = { ...lane.heardAgain, atMs: lane.heardAgain.atMs + deltaMs };
  if (!lane.byReceipt) return;
  lane.trust = openTrust();
  lane.start = openMilkStart(lane.start);
  lane.recent = lane.recent.map(([atMs, tempC]) => [movedMs(atMs, move), tempC]);
  if (lane.latest !== null) lane.latest = { ...lane.latest, atMs: movedMs(lane.latest.atMs, move) };
  lane.milkingEndedMs = movedMs(lane.milkingEndedMs, move);
  lane.milkingBeganMs = movedMs(lane.milkingBeganMs, move);
  if (lane.chill !== null) lane.chill = shiftChill(lane.chill, move);
  lane.rest = openKeepRest();
  if (lane.keep !== null) lane.keep = shiftKeep(lane.keep, deltaMs);
  if (lane.heat !== null) lane.heat = shiftHeat(lane.heat, move);
  if (lane.hold !== null) lane.hold = shiftHold(lane.hold, deltaMs);
}

function hear(lane: Lane, reading: Reading, receivedMs: number): Happening[] {
  lane.rhythm = feelRhythm(lane.rhythm, receivedMs);
  const before = lane.lastReceivedMs;
  lane.lastReceivedMs = Math.max(receivedMs, before ?? receivedMs);
  const { silentSinceMs } = lane;
  const watch = openWatchOf(lane);
  if (watch === null || silentSinceMs === null) return [];
  lane.silentSinceMs = null;
  const silentMs = Math.max(0, Math.round(receivedMs - (before ?? receivedMs)));
  lane.heardAgain = { atMs: receivedMs, silentMs };
  // A buffer begins with what is long past: its end tells how it is now.
  return receivedMs - reading.atMs > freshMs ? [] : tellHeard(lane, receivedMs, reading.tempC);
}

function tellHeard(lane: Lane, atMs: number, tempC: number): Happening[] {
  const watch = openWatchOf(lane);
  const { heardAgain } = lane;
  lane.heardAgain = null;
  if (watch === null || heardAgain === null) return [];
  const { silentMs } = heardAgain;
  const body = { weight: 'tell', watch: watch.id, probe: lane.probe, silentMs, tempC } as const;
  return [sayOf(watch, { kind: 'probe-heard', atMs, body })];
}

/** A reading that is received within this of its instant was not held back. */
const freshMs = 60_000;
/** What a probe held back comes within this. */
const heardBurstMs = 20;

function heardDueMs({ heardAgain }: Lane): number {
  return heardAgain === null ? Infinity : heardAgain.atMs + heardBurstMs;
}

/** What keeps cold for days is not lost in minutes: its probe may be quiet for longer. */
const keepSilentMs = 30 * 60_000;

/** The watch that speaks for a lane's probe. */
function openWatchOf(lane: Lane): Sayer | null {
  return lane.chill ?? lane.heat ?? lane.hold ?? lane.keep;
}

/** The air of a cold place goes up and down and is no milk. */
function feelsAir({ keep }: Lane): boolean {
  return keep !== null && keep.inVesselTold === false;
}

function silentAtMs(lane: Lane): number {
  if (lane.silentSinceMs !== null || lane.lastReceivedMs === null) return Infinity;
  const afterMs = silentAfterMs(lane.rhythm);
  const keeps = lane.chill === null && lane.heat === null && lane.hold === null;
  return lane.lastReceivedMs + (keeps ? Math.max(keepSilentMs, afterMs) : afterMs);
}

function judgeSilence(lane: Lane, atMs: number): Happening[] {
  const { lastReceivedMs } = lane;
  const watch = openWatchOf(lane);
  if (watch === null || lastReceivedMs === null || atMs < silentAtMs(lane)) return [];
  lane.silentSinceMs = lastReceivedMs;
  const body = {
    weight: 'warn',
    watch: watch.id,
    probe: lane.probe,
    lastHeardMs: lane.latest?.atMs ?? lastReceivedMs,
    lastC: lane.latest?.tempC ?? 0,
    usualMs: Math.round(usualMs(lane.rhythm) ?? silentAfterMs(lane.rhythm)),
  } as const;
  return [sayOf(watch, { kind: 'probe-silent', atMs, body })];
}

/** Milk is felt for where a chill may begin by itself, and beside an open one, for the next jar. */
function feelsForMilk(lane: Lane, rules: WatchRules): boolean {
  if (lane.chill !== null) return true;
  if (lane.heat !== null || lane.hold !== null) return false;
  return chillsByItself(rules, lane.probe) && !feelsAir(lane);
}

function feelForMilk(lane: Lane, reading: Reading): FoundMilk | null {
  const { state, found } = feelStart(lane.start, reading);
  lane.start = state;
  return found;
}

/** What is found about when the chill began is its own milk, of which a person had told before it was felt. */
const ownMilkMs = 3 * 60_000;

/** Milk that was taken out to be poured into smaller jars goes in again within this. */
const pouredMs = 10 * 60_000;

function nextJar(chill: Chill, found: FoundMilk | null): LeftMilk | null {
  if (found?.by !== 'insertion' || found.sinceMs - chill.sinceMs <= ownMilkMs) return null;
  if (chill.taken.length > 0 && found.sinceMs - regimeSinceMs(chill) <= pouredMs) return null;
  return { atMs: found.sinceMs, why: 'new-milk' };
}

function leaveMilk(lane: Lane, left: LeftMilk, input: Input, rules: WatchRules): Happening[] {
  const events = endChill(lane, { atMs: Math.max(left.atMs, input.receivedMs), reason: 'taken-out' });
  if (left.why !== 'new-milk') return events;
  return [...events, ...beginChill(lane, { sinceMs: left.atMs, origin: 'insertion', input, rules })];
}
