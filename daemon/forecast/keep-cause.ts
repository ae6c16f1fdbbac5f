/** What goes on in a place, told from the shape of its temperature: door, defrost, warm load, or a fault. */
import type { KeepCause } from '../../shared/contract/keep.ts';
import { type KeepTrace, lately, roseIn } from './keep-trace.ts';
import { type Usual, usualOf } from './keep-usual.ts';

/** A door that was opened: since when, from which temperature, and whether the air has begun to come back. */
export type Door = {
  sinceMin: number;
  /** The last step up: it may be opened again before the air is back. */
  lastStepMin: number;
  fromC: number;
  peakC: number;
  peakMin: number;
  shut: boolean;
};

/** What the telling remembers from one minute to the next. Plain JSON, bounded. */
export type Telling = {
  cause: KeepCause;
  sinceMin: number;
  /** The warmest since then, °C. */
  mostC: number;
  door: Door | null;
  /** When it was last no warmer than usual tops, and when last as cold as the cooling makes it. */
  warmMin: number;
  coldMin: number;
  /** The most that it rose within three minutes since then. */
  spellJumpC: number;
  /** [begin, span] of spells of warmth that ended by themselves, minutes; the newest last. */
  spells: [number, number][];
  /** True once the warmth of now outlasts them. */
  overdue: boolean;
  /** The rise that `usual` was told by. */
  lookedMin: number;
  /** Hour means are compared with those before this hour while the cooling fails; null while it does not. */
  failsFromHour: number | null;
  usual: Usual | null;
};

/** A door that has not begun to come back after this stands ajar, minutes. */
const ajarMin = 8;
/** After this a place that stays warm once its door is shut had something warm put in, minutes. */
const loadAfterMin = 22;
/** After this a place that stays as warm as it was has a door ajar, minutes. */
const plateauMin = 45;
/** A load that warms a place for longer than this is no load, minutes. */
const loadMostMin = 8 * 60;
const spellsMax = 12;
/** Spells of warmth that are remembered, minutes, and for how long. */
const spellLeastMin = 12;
const spellMostMin = 90;
const spellsForMin = 4 * 1440;
/** A first defrost may last this long, minutes. */
const firstSpellMin = 40;
/** A fault is not taken back before this, minutes. */
const settledMin = 20;
/** While a place is known for less than this, a first defrost may still come, minutes. */
const knownMin = 30 * 60;
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
    warmMin: 0,
    coldMin: 0,
    spellJumpC: 0,
    spells: [],
    overdue: false,
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
  const risen = trace.rises.at(-1)?.atMin ?? 0;
  if (risen !== telling.lookedMin) telling.usual = usualOf(trace);
  telling.lookedMin = risen;
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
    warmMin: telling.warmMin + by,
    coldMin: telling.coldMin + by,
    door: telling.door && {
      ...telling.door,
      sinceMin: telling.door.sinceMin + by,
      lastStepMin: telling.door.lastStepMin + by,
      peakMin: telling.door.peakMin + by,
    },
    spells: telling.spells.map(([atMin, spanMin]) => [atMin + by, spanMin]),
  };
}

type Found = { cause: KeepCause; sinceMin: number };

function ofAir(telling: Telling, trace: KeepTrace): Found {
  const [min, tempC] = trace.bins.at(-1) as [number, number];
  const { usual } = telling;
  followDoor(telling, trace);
  if (usual === null) return ofUnknown(telling, min);
  if (tempC <= usual.hiC) endSpell(telling, min);
  else telling.spellJumpC = Math.max(telling.spellJumpC, roseIn(trace, 3));
  if (tempC <= usual.loC + 0.4 * (usual.hiC - usual.loC)) telling.coldMin = min;
  telling.overdue = min - telling.warmMin > longestSpellMin(telling, trace);
  const fault = ofFault(telling, trace, usual) ?? ofWarmth(telling, trace, usual);
  if (fault !== null) return fault;
  const { door } = telling;
  if (door === null) return ofHours(telling, trace) ?? { cause: 'usual', sinceMin: min };
  const load = door.shut && min - door.peakMin >= loadAfterMin;
  return { cause: load ? 'warm-load' : 'door-open', sinceMin: door.sinceMin };
}

/** A spell of warmth that ended by itself is remembered: defrosts and doors make such, each place its own. */
function endSpell(telling: Telling, min: number): void {
  const spanMin = min - telling.warmMin;
  if (telling.warmMin > 0 && spanMin >= spellLeastMin && spanMin <= spellMostMin) {
    telling.spells.push([telling.warmMin, spanMin]);
    if (telling.spells.length > spellsMax) telling.spells.shift();
  }
  telling.warmMin = min;
  telling.spellJumpC = 0;
}

/** How long a spell of warmth may last before it is more than usual, minutes: the second longest of the last days, and some. */
function longestSpellMin({ spells, warmMin }: Telling, trace: KeepTrace): number {
  const spans = spells
    .filter(([atMin]) => atMin > warmMin - spellsForMin)
    .map(([, spanMin]) => spanMin)
    .sort((a, b) => b - a);
  const known = trace.firstMin === null ? 0 : warmMin - trace.firstMin;
  const longest = spans[1] ?? spans[0] ?? (known < knownMin ? firstSpellMin : spellLeastMin);
  return 1.15 * Math.max(longest, known < knownMin ? firstSpellMin : 0) + 4;
}

/** Before anything is usual only a door can be told, and one that stays open for long. */
function ofUnknown({ door }: Telling, min: number): Found {
  if (door === null) return { cause: 'settling', sinceMin: min };
  const ajar = !door.shut && min - door.sinceMin > 3 * ajarMin;
  return { cause: ajar ? 'door-ajar' : 'door-open', sinceMin: door.sinceMin };
}

/** A fault that outlasted every usual spell lasts until the air comes back as only cooling, or a shut door, brings it. */
function ofFault(telling: Telling, trace: KeepTrace, usual: Usual): Found | null {
  const { cause, sinceMin, mostC, door } = telling;
  if (cause !== 'cooling-stopped' && cause !== 'door-ajar') return null;
  const [min, tempC] = trace.bins.at(-1) as [number, number];
  if (tempC <= usual.hiMostC) return null;
  const ampC = Math.max(0.5, usual.hiC - usual.loC);
  const pace = lately(trace, 10)?.perMin ?? 0;
  const quiet = cause === 'door-ajar' || door === null || min - door.lastStepMin > 20;
  const topC = Math.max(
    ...trace.bins.filter(([at]) => at >= Math.max(sinceMin, min - 60)).map(([, at]) => at),
  );
  const fell = Math.min(topC, mostC) - tempC;
  const backC =
    cause === 'door-ajar' ? Math.max(0.6, 0.35 * (mostC - usual.hiC)) : Math.max(0.5, 0.35 * ampC);
  if (quiet && fell > backC && pace < -0.02) return null;
  return telling.overdue && min - telling.warmMin > settledMin ? { cause, sinceMin } : null;
}

/** Warmer than any ordinary top, doors that were shut again left aside: which fault it is, if it is one. */
function ofWarmth(telling: Telling, trace: KeepTrace, usual: Usual): Found | null {
  const { door, warmMin, coldMin } = telling;
  const [min, tempC] = trace.bins.at(-1) as [number, number];
  const ampC = Math.max(0.5, usual.hiC - usual.loC);
  const leastC = Math.max(0.3, 0.12 * ampC, 5 * trace.noiseC);
  if (tempC < usual.hiMostC + leastC) return null;
  if (door !== null && door.sinceMin >= warmMin - 4)
    return ofStep({ telling, trace, usual, door, min, ampC });
  const sinceMin = Math.max(coldMin, Math.min(trace.turn[0], warmMin));
  const pacePerHour = floorPace(trace);
  if (pacePerHour <= 0.1 || min - warmMin < 6) return null;
  if (!telling.overdue && !isSteady(trace, telling, usual)) return { cause: 'defrost', sinceMin };
  // Without cooling it passes the top about when it always does; a weak compressor takes far longer.
  const slow = warmMin - coldMin > 2.2 * usual.riseMostMin + 10;
  return { cause: slow ? 'failing' : 'cooling-stopped', sinceMin };
}

/** True where the warmth goes on as the usual rise before it did, slower and slower: no heater does that. */
function isSteady(trace: KeepTrace, { warmMin, spellJumpC }: Telling, usual: Usual): boolean {
  const steep = (usual.hiC - usual.loC) / Math.max(5, usual.riseMin);
  const [min, tempC] = trace.bins.at(-1) as [number, number];
  const spanMin = min - warmMin;
  const slow = tempC - usual.hiC <= 0.8 * steep * spanMin + 2 * trace.noiseC;
  return spanMin >= 15 && slow && spellJumpC <= 3.6 * steep + 3 * trace.noiseC;
}

/** Warm since a door was opened: it stands ajar, something warm went in, or the cooling stopped meanwhile. */
function ofStep(at: {
  telling: Telling;
  trace: KeepTrace;
  usual: Usual;
  door: Door;
  min: number;
  ampC: number;
}): Found | null {
  const { telling, trace, usual, door, min, ampC } = at;
  const sinceStep = min - door.lastStepMin;
  const floorC = floorIn(trace, 0, 8);
  const ajar: Found = { cause: 'door-ajar', sinceMin: door.sinceMin };
  const level = floorC - usual.hiMostC;
  if (!door.shut && sinceStep >= ajarMin && level > 0) return ajar;
  if (sinceStep < loadAfterMin) return null;
  const perHour = floorPace(trace);
  const loadMost = telling.cause === 'warm-load' ? 0.3 : 0.9;
  if (perHour > loadMost && min - telling.coldMin > usual.riseMostMin) {
    return level > Math.max(2.5, ampC) ? ajar : { cause: 'cooling-stopped', sinceMin: door.lastStepMin };
  }
  // A load cools down; a door that stands ajar keeps the air where it is.
  if (sinceStep > plateauMin && floorC - floorIn(trace, 30, 40) > -0.1 - 0.03 * level) return ajar;
  return null;
}

/** How fast the lowest of some minutes rises, °C an hour: doors that were shut again do not count. */
export function floorPace(trace: KeepTrace): number {
  return ((floorIn(trace, 0, 8) - floorIn(trace, 16, 24)) / 16) * 60;
}

/** The lowest of the minutes between so long ago and so long ago, °C: doors that were shut again are not in it. */
export function floorIn(trace: KeepTrace, fromAgo: number, toAgo: number): number {
  const { bins } = trace;
  const newest = (bins.at(-1) as [number, number])[0];
  let leastC = Number.POSITIVE_INFINITY;
  for (let place = bins.length - 1; place >= 0; place--) {
    const [min, tempC] = bins[place] as [number, number];
    if (newest - min > toAgo) break;
    if (newest - min >= fromAgo) leastC = Math.min(leastC, tempC);
  }
  return leastC === Number.POSITIVE_INFINITY ? (bins.at(-1) as [number, number])[1] : leastC;
}

/** A step that no compressor makes opens a door; coming back by a quarter shuts it; the usual ends it. */
function followDoor(telling: Telling, trace: KeepTrace): void {
  const [min, tempC] = trace.bins.at(-1) as [number, number];
  const { usual } = telling;
  const jumpC = roseIn(trace, 3);
  const stepC = usual?.doorJumpC ?? 1.2;
  let { door } = telling;
  if (jumpC >= stepC) {
    if (door === null) {
      const sinceMin = startOfStep(trace, tempC - jumpC);
      door = { sinceMin, lastStepMin: min, fromC: tempC - jumpC, peakC: tempC, peakMin: min, shut: false };
    } else if (door.shut || tempC > door.peakC) {
      door = { ...door, lastStepMin: min, peakC: tempC, peakMin: min, shut: false };
    }
  }
  if (door === null) return;
  if (tempC > door.peakC) {
    door.peakC = tempC;
    door.peakMin = min;
  }
  const backC = Math.max(0.2 * (door.peakC - door.fromC), 0.25, 4 * trace.noiseC);
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
