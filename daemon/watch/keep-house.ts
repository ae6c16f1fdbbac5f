/**
 * What two probes tell together: places that warm at the same time have no power, and a jar in a fridge has
 * the cause that the air beside it tells. Lanes stay independent: only their summaries are compared, and a
 * lane that is ahead of this instant (after a restart) is left out until the others have come up to it.
 */
import type { Keep } from './keep.ts';
import type { Lane } from './lane.ts';

const minuteMs = 60_000;
/** Two rises of one power cut begin within the off time of both cycles, and this much more. */
const togetherMs = 12 * minuteMs;

/** Compares the keeps of all lanes at `atMs`; returns the lanes in which that changed something. */
export function compareKeeps(lanes: Iterable<Lane>, atMs: number): Lane[] {
  const kept: Lane[] = [];
  let stopped = false;
  for (const lane of lanes) {
    if (lane.keep === null || (lane.lastReceivedMs ?? 0) > atMs) continue;
    kept.push(lane);
    stopped ||= isStopped(lane.keep);
  }
  if (!stopped || kept.length < 2) return [];
  const changed = new Set<Lane>();
  for (const lane of kept) {
    const { keep } = lane;
    if (keep === null || !isStopped(keep)) continue;
    for (const other of kept) {
      if (other === lane || other.keep === null) continue;
      if (keep.place !== other.keep.place) tellPower(lane, other, changed);
      else if (share(keep, other.keep)) changed.add(lane);
    }
  }
  for (const lane of changed) if (lane.keep !== null) lane.keep.forecastDueMs ??= atMs + 1;
  return [...changed];
}

function isStopped({ telling }: Keep): boolean {
  return telling.cause === 'cooling-stopped' || telling.cause === 'warming';
}

/** Gives a jar that warms the cause of the air in the same place; returns whether that changed it. */
function share(keep: Keep, other: Keep): boolean {
  if (keep.telling.cause !== 'warming' || other.jar.inVessel) return false;
  const { cause } = other.telling;
  const isFault = cause === 'cooling-stopped' || cause === 'door-ajar' || cause === 'failing';
  const shared = isFault ? cause : null;
  if (keep.sharedCause === shared) return false;
  keep.sharedCause = shared;
  return true;
}

function tellPower(lane: Lane, other: Lane, changed: Set<Lane>): void {
  const one = lane.keep as Keep;
  const two = other.keep as Keep;
  if (one.powerOffMs !== null && (two.powerOffMs !== null || !isStopped(two))) return;
  const oneMs = risesSinceMs(one);
  const twoMs = risesSinceMs(two);
  if (oneMs === null || twoMs === null) return;
  const offMin = Math.max(one.telling.usual?.riseMostMin ?? 40, two.telling.usual?.riseMostMin ?? 40);
  if (Math.abs(oneMs - twoMs) > offMin * minuteMs + togetherMs) return;
  const offMs = Math.round(Math.max(oneMs, twoMs));
  for (const at of [lane, other]) {
    const keep = at.keep as Keep;
    if (keep.powerOffMs !== null) continue;
    keep.powerOffMs = offMs;
    changed.add(at);
  }
}

/** Since when a place warms without having cooled, ms; null where it cools, or may cool as usual soon. */
function risesSinceMs({ telling, trace, powerOffMs }: Keep): number | null {
  if (powerOffMs !== null) return powerOffMs;
  if (telling.cause === 'cooling-stopped' || telling.cause === 'warming') return telling.sinceMin * minuteMs;
  const { usual } = telling;
  const newest = trace.bins.at(-1);
  if (usual === null || newest === undefined || trace.rising !== true || telling.door !== null) return null;
  const overdue = newest[0] - trace.turn[0] > 1.25 * usual.riseMostMin + 3;
  return overdue && newest[1] >= usual.hiMostC ? trace.turn[0] * minuteMs : null;
}
