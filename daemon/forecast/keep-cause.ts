/** What goes on in a place, told from the shape of its temperature: door, defrost, warm load, or a fault. */
import type { KeepCause } from '../../shared/contract/keep.ts';
import { type KeepTrace, lately, type Rise, roseIn } from './keep-trace.ts';
import { type Usual, usualOf } from './keep-usual.ts';

/** A door that was opened: since when, from which temperature, and whether the air has begun to come back. */
export type Door = { sinceMin: number; fromC: number; peakC: number; peakMin: number; shut: boolean };

/** What the telling remembers from one minute to the next. Plain JSON, bounded. */
export type Telling = {
  cause: KeepCause;
  sinceMin: number;
  /** The warmest since then, °C. */
  mostC: number;
  door: Door | null;
  /** Rises that went higher without a door and came back by themselves, as defrosts do; the newest last. */
  defrosts: Rise[];
  /** The rise that was looked at last, so that each is looked at once. */
  lookedMin: number;
  /** Hour means are compared with those before this hour while the cooling fails; null while it does not. */
  failsFromHour: number | null;
  usual: Usual | null;
};

/** A door that has not begun to come back after this stands ajar, minutes. */
const ajarMin = 8;
/** After this a place that stays warm once its door is shut had something warm put in, minutes. */
const loadAfterMin = 22;
/** A load that warms a place for longer than this is no load, minutes. */
const loadMostMin = 8 * 60;
const defrostsMax = 6;
/** While a place is known for less than this, a first defrost may still come, minutes. */
const knownMin = 30 * 60;
/** How long and how far a first defrost may go. */
const firstDefrost = { spanMin: 40, overC: 4 } as const;
/** Hours needed before a failing is told from their means, and what they must be beyond the usual, °C. */
const hoursNeeded = 10;
const failsByC = 0.35;

/** Returns the telling before the first reading. */
export function openTelling(): Telling {
  return {
    cause: 'settling',
    sinceMin: 0,
    mostC: -100,
    door: null,
    defrosts: [],
    lookedMin: 0,
    failsFromHour: null,
    usual: null,
  };
}

/**
 * Takes over `telling` at each minute that closed, and returns what ended with it, or null. A cause lasts from
 * where it began, not from where it was seen.
 */
export function tellCause(
  telling: Telling,
  trace: KeepTrace,
  inVessel: boolean,
): { ended: { cause: KeepCause; fromMin: number; toMin: number; mostC: number } | null } {
  const newest = trace.bins.at(-1);
  if (newest === undefined) return { ended: null };
  const [min, tempC] = newest;
  telling.usual = usualOf(trace);
  learnDefrost(telling, trace);
  const before = { cause: telling.cause, fromMin: telling.sinceMin, toMin: min, mostC: telling.mostC };
  const found = inVessel ? ofVessel(telling, trace) : ofAir(telling, trace);
  if (found.cause === telling.cause) {
    telling.mostC = Math.max(telling.mostC, tempC);
    return { ended: null };
  }
  const isQuiet = before.cause === 'usual' || before.cause === 'settling';
  // One thing told more closely is not the end of another: a door that stays open is then ajar.
  const goesOn = found.sinceMin <= before.fromMin && found.cause !== 'usual';
  telling.cause = found.cause;
  telling.sinceMin = found.sinceMin;
  telling.mostC = goesOn ? Math.max(before.mostC, tempC) : tempC;
  return { ended: isQuiet || goesOn ? null : before };
}

/** Takes over `telling` with every instant later by `deltaMs`. */
export function shiftTelling(telling: Telling, deltaMs: number): Telling {
  const by = deltaMs / 60_000;
  return {
    ...telling,
    sinceMin: telling.sinceMin + by,
    lookedMin: telling.lookedMin + by,
    door: telling.door && {
      ...telling.door,
      sinceMin: telling.door.sinceMin + by,
      peakMin: telling.door.peakMin + by,
    },
    defrosts: telling.defrosts.map((rise) => ({ ...rise, atMin: rise.atMin + by })),
  };
}

type Found = { cause: KeepCause; sinceMin: number };

function ofAir(telling: Telling, trace: KeepTrace): Found {
  const [min, tempC] = trace.bins.at(-1) as [number, number];
  const { usual } = telling;
  followDoor(telling, trace);
  const { door } = telling;
  if (door !== null && !door.shut) {
    const ajar = min - door.sinceMin >= ajarMin && tempC > (usual?.hiC ?? door.fromC);
    return { cause: ajar ? 'door-ajar' : 'door-open', sinceMin: door.sinceMin };
  }
  const stopped = ofRise(telling, trace);
  if (stopped !== null) return stopped;
  if (door !== null) {
    const load = min - door.peakMin >= loadAfterMin;
    return { cause: load ? 'warm-load' : 'door-open', sinceMin: door.sinceMin };
  }
  return ofHours(telling, trace) ?? { cause: usual === null ? 'settling' : 'usual', sinceMin: min };
}

/** A step that no compressor makes opens a door; coming back by a quarter shuts it; the usual ends it. */
function followDoor(telling: Telling, trace: KeepTrace): void {
  const [min, tempC] = trace.bins.at(-1) as [number, number];
  const { usual } = telling;
  const jumpC = roseIn(trace, 3);
  const stepC = usual?.doorJumpC ?? 1.2;
  let { door } = telling;
  if (jumpC >= stepC && (door === null || (door.shut && tempC > door.peakC))) {
    const sinceMin = door === null ? startOfStep(trace, tempC - jumpC) : door.sinceMin;
    door = { sinceMin, fromC: door?.fromC ?? tempC - jumpC, peakC: tempC, peakMin: min, shut: false };
  }
  if (door === null) return;
  if (tempC > door.peakC) {
    door.peakC = tempC;
    door.peakMin = min;
  }
  const backC = Math.max(0.25 * (door.peakC - door.fromC), 0.3, 5 * trace.noiseC);
  if (!door.shut && tempC <= door.peakC - backC) door.shut = true;
  const over = tempC > (usual?.hiMostC ?? door.fromC + 0.5);
  telling.door = (door.shut && !over) || min - door.sinceMin > loadMostMin ? null : door;
}

function startOfStep(trace: KeepTrace, fromC: number): number {
  const { bins } = trace;
  for (let place = bins.length - 1; place >= Math.max(0, bins.length - 6); place--) {
    const [min, tempC] = bins[place] as [number, number];
    if (tempC <= fromC + 0.01) return min;
  }
  return (bins.at(-1) as [number, number])[0];
}

/** A rise beyond every ordinary one, by no door: a defrost while it may be one, then cooling that has stopped. */
function ofRise(telling: Telling, trace: KeepTrace): Found | null {
  const { usual, cause } = telling;
  const [min, tempC] = trace.bins.at(-1) as [number, number];
  const fault = cause === 'cooling-stopped' || cause === 'failing';
  if (usual === null || trace.rising !== true) return null;
  const [turnMin, turnFromC] = trace.turn;
  // While it still rises a fault goes on; its end is the next turn.
  if (fault && telling.sinceMin >= turnMin - 1) return { cause, sinceMin: telling.sinceMin };
  const spanMin = min - turnMin;
  const ampC = Math.max(0.5, usual.hiC - usual.loC);
  const over = tempC - usual.hiMostC;
  if (over < Math.max(0.3, 0.12 * ampC, 5 * trace.noiseC) || spanMin < 1.1 * usual.riseMin) return null;
  const pace = lately(trace, 12)?.perMin ?? 0;
  if (pace <= 0.002) return null;
  if (mayDefrost(telling, trace, { spanMin, over, min })) return { cause: 'defrost', sinceMin: turnMin };
  const steep = (tempC - turnFromC) / spanMin;
  const usualSteep = ampC / Math.max(1, usual.riseMin);
  return { cause: steep >= 0.25 * usualSteep ? 'cooling-stopped' : 'failing', sinceMin: turnMin };
}

function mayDefrost(
  { defrosts, usual }: Telling,
  trace: KeepTrace,
  { spanMin, over, min }: { spanMin: number; over: number; min: number },
): boolean {
  const hiMostC = (usual as Usual).hiMostC;
  if (defrosts.length >= 2) {
    const most = Math.max(...defrosts.map(({ toC }) => toC));
    const longest = Math.max(...defrosts.map((rise) => rise.spanMin));
    const gaps = defrosts.slice(1).map((rise, place) => rise.atMin - (defrosts[place] as Rise).atMin);
    const soonest = 0.6 * Math.min(...gaps);
    if (min - (defrosts.at(-1) as Rise).atMin < soonest) return false;
    return over + hiMostC <= most + 0.4 && spanMin <= 1.15 * longest + 3;
  }
  const known = trace.firstMin === null ? 0 : min - trace.firstMin;
  if (known > knownMin && defrosts.length === 0) return false;
  return spanMin <= (usual as Usual).riseMin + firstDefrost.spanMin && over <= firstDefrost.overC;
}

function learnDefrost(telling: Telling, trace: KeepTrace): void {
  const rise = trace.rises.at(-1);
  const { usual } = telling;
  if (rise === undefined || usual === null || rise.atMin <= telling.lookedMin) return;
  telling.lookedMin = rise.atMin;
  if (rise.jumpC >= usual.doorJumpC || rise.spanMin > 100 || telling.door !== null) return;
  if (rise.toC < usual.hiMostC + 0.3) return;
  telling.defrosts.push(rise);
  if (telling.defrosts.length > defrostsMax) telling.defrosts.shift();
}

/** Hours that are warmer one after the other than any of the days before: the cooling fails. */
function ofHours(telling: Telling, trace: KeepTrace): Found | null {
  const { hours } = trace;
  const done = hours.slice(0, -1);
  const from = telling.failsFromHour;
  const before = done.filter(([hour]) => (from === null ? true : hour < from));
  const base = from === null ? before.slice(0, -2) : before;
  if (base.length < hoursNeeded) return null;
  const means = base.map(([, meanC]) => meanC).sort((a, b) => a - b);
  const mostC = means[Math.floor(means.length * 0.9)] as number;
  const [older, newer] = done.slice(-2) as [KeepTrace['hours'][0], KeepTrace['hours'][0]];
  if (from !== null) {
    const back = newer[1] <= mostC + 0.5 * failsByC;
    if (back) telling.failsFromHour = null;
    return back ? null : { cause: 'failing', sinceMin: from * 60 };
  }
  const fails = older[1] > mostC + failsByC && newer[1] > mostC + failsByC && newer[1] > older[1] - 0.1;
  if (!fails) return null;
  telling.failsFromHour = older[0];
  return { cause: 'failing', sinceMin: older[0] * 60 };
}

/** Milk shows no doors and hardly the cycle: it only says that it warms, and since when. */
function ofVessel(telling: Telling, trace: KeepTrace): Found {
  const [min, tempC] = trace.bins.at(-1) as [number, number];
  const hours = trace.hours.slice(0, -1);
  const usual: Found = { cause: hours.length < 4 ? 'settling' : 'usual', sinceMin: min };
  const pace = lately(trace, 40);
  if (pace === null || hours.length < 4) return usual;
  const warming = telling.cause === 'warming';
  const base = warming ? hours.filter(([hour]) => hour * 60 < telling.sinceMin - 60) : hours.slice(0, -1);
  if (base.length === 0) return usual;
  const mostC = Math.max(...base.map(([, meanC]) => meanC));
  const over = tempC - mostC;
  const fast = pace.perMin * 60;
  if (warming) return over < 0.1 || fast < -0.2 ? usual : { cause: 'warming', sinceMin: telling.sinceMin };
  const warms = over > Math.max(0.2, 4 * trace.noiseC) && fast > 0.25;
  return warms ? { cause: 'warming', sinceMin: min - 30 } : usual;
}
