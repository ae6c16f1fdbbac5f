/** Whether a watch is about to say something, so that its readings must not wait. */

import type { Chill } from './chill.ts';
import type { Heat } from './heat.ts';
import type { Hold } from './hold.ts';
import type { Keep } from './keep.ts';
import { crossingOf } from './keep-matter.ts';
import type { Lane } from './lane.ts';

/** `turn`: a watch is within a minute of a turn; `open`: a chill, heat or hold is open; else `calm`. */
export type WatchStanding = 'turn' | 'open' | 'calm';

/** How long before and after an instant that decides something. */
const nearMs = 60_000;
/** How near to the limit of a hold its milk may be before each reading counts, °C. */
const nearHoldC = 0.5;

/** Returns how the watches of all lanes stand together at an instant. */
export function standingOf(lanes: Iterable<Lane>, nowMs: number): WatchStanding {
  let standing: WatchStanding = 'calm';
  for (const lane of lanes) {
    const { chill, heat, hold, keep } = lane;
    if (chill === null && heat === null && hold === null && keep === null) continue;
    if (chill !== null && isChillNear(chill, nowMs)) return 'turn';
    if (heat !== null && isHeatNear(heat, nowMs)) return 'turn';
    if (hold !== null && isHoldNear(hold, nowMs)) return 'turn';
    if (keep !== null && isKeepNear(keep, nowMs)) return 'turn';
    if (chill !== null || heat !== null || hold !== null) standing = 'open';
  }
  return standing;
}

function isChillNear({ made, window, outer, outlook }: Chill, nowMs: number): boolean {
  if (made) return false;
  const deadlines = [window.deadlineMs, ...outer.map(({ window: { deadlineMs } }) => deadlineMs)];
  if (deadlines.some((deadlineMs) => isAbout(deadlineMs, nowMs))) return true;
  return isAbout(outlook?.crossing.p50, nowMs) || isAbout(outlook?.freezing.p50, nowMs);
}

function isHeatNear({ reached, offDueMs, outlook }: Heat, nowMs: number): boolean {
  return isAbout(offDueMs, nowMs) || (!reached && isAbout(outlook?.crossing.p50, nowMs));
}

function isHoldNear({ proof, window, outlook, latest, guarded, marginC }: Hold, nowMs: number): boolean {
  if (proof !== null) return isAbout(outlook?.cools.p50, nowMs);
  const overC = latest === null ? Number.POSITIVE_INFINITY : latest.tempC - window.lowC - marginC;
  if (Math.abs(overC) <= nearHoldC) return true;
  const { startMs } = guarded;
  return isAbout(startMs === null ? outlook?.enters.p50 : startMs + window.holdMs, nowMs);
}

function isKeepNear(keep: Keep, nowMs: number): boolean {
  const { outlook, matter } = keep;
  if (outlook === null || (matter !== null && matter.leftBy !== null)) return false;
  return isAbout(crossingOf(keep, outlook).p50, nowMs);
}

function isAbout(atMs: number | null | undefined, nowMs: number): boolean {
  return atMs !== null && atMs !== undefined && Math.abs(atMs - nowMs) <= nearMs;
}
