/** What goes on in a place, told from the shape of its temperature: door, defrost, warm load, or a fault. */
import type { KeepCause } from '../../shared/contract/keep.ts';
import { type Door, followDoor, isLeft, loadMostMin } from './keep-door.ts';
import { floorMin, floorPace, type KeepTrace, lately } from './keep-trace.ts';
import { type Usual, usualOf } from './keep-usual.ts';

/** What the telling remembers from one minute to the next. Plain JSON, bounded. */
export type Telling = {
  cause: KeepCause;
  sinceMin: number;
  /** The warmest since then, °C. */
  mostC: number;
  door: Door | null;
  /** When its floor was last no warmer than usual tops, and when the cooling was last at work. */
  warmMin: number;
  coldMin: number;
  /** When something warm was last cooling down in it. */
  loadMin: number;
  /** When a door was last opened. */
  doorMin: number;
  /** When it was last about as cold as it gets. */
  lowMin: number;
  /** True where a door was open in the warmth of now. */
  warmByDoor: boolean;
  /** [begin, span, 1 where a door was open] of spells of warmth that ended by themselves, minutes; the newest last. */
  spells: [number, number, number][];
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
/** A door that leaves the air so much warmer for so long stands ajar, °C and minutes. */
const ajarC = 1.6;
const ajarAfterMin = 26;
/** Warmth that begins later than this is not of the door before it, minutes. */
const warmsWithinMin = 45;
const spellsMax = 12;
/** Spells of warmth that are remembered, minutes, and for how long. */
const spellLeastMin = 12;
const spellMostMin = 90;
const spellsForMin = 4 * 1440;
/** A spell that is longer than this may have been a defrost, minutes. */
const defrostLeastMin = 11;
/** Defrosts come at their own intervals: none within this share of the shortest. */
const dueShare = 0.8;
/** A first defrost may last this long, minutes. */
const firstSpellMin = 40;
/** While a place is known for less than this, a first defrost may still come, minutes. */
const knownMin = 30 * 60;
/** Hours needed before a failing is told from their means, and what they must be beyond the usual, °C. */
const hoursNeeded = 10;
const failsByC = 0.35;
/** How far an hour must be below all before it to be too cold, °C. */
const colderByC = 0.6;
/** A cooling that has not come near its usual lowest (as a share of its swing above it) for so long fails, minutes. */
const neverLowMin = 4 * 60;
const lowShare = 0.3;
/** Nobody has come by a door for so long, minutes. */
const nobodyMin = 150;
/** A cooling that fails takes longer than this to leave its cycle; one that stopped does not, in usual rises. */
const slowRises = 2.2;

/** Returns the telling before the first reading. */
export function openTelling(): Telling {
  return {
    cause: 'settling',
    sinceMin: 0,
    mostC: -100,
    door: null,
    warmMin: 0,
    coldMin: 0,
    loadMin: 0,
    doorMin: 0,
    lowMin: 0,
    warmByDoor: false,
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
  if (risen !== telling.lookedMin) telling.usual = usualOf(trace) ?? telling.usual;
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
    loadMin: telling.loadMin + by,
    lowMin: telling.lowMin + by,
    doorMin: telling.doorMin + by,
    door: telling.door && {
      ...telling.door,
      sinceMin: telling.door.sinceMin + by,
      lastStepMin: telling.door.lastStepMin + by,
      peakMin: telling.door.peakMin + by,
    },
    spells: telling.spells.map(([atMin, spanMin, door]) => [atMin + by, spanMin, door]),
  };
}

type Found = { cause: KeepCause; sinceMin: number };

function ofAir(telling: Telling, trace: KeepTrace): Found {
  const [min, tempC] = trace.bins.at(-1) as [number, number];
  const { usual } = telling;
  telling.door = followDoor(telling.door, trace, usual);
  if (telling.door !== null) telling.doorMin = telling.door.lastStepMin;
  if (usual === null) return ofUnknown(telling, min, tempC);
  if (trace.floorC <= usual.hiC) endSpell(telling, min);
  else telling.warmByDoor ||= telling.door !== null;
  if (trace.floorC <= usual.loC + lowShare * (usual.hiC - usual.loC) || telling.lowMin === 0)
    telling.lowMin = min;
  if (isCooling(trace, usual, telling.door)) {
    telling.coldMin = min;
    if (telling.door?.shut === true && telling.door.back) telling.door = null;
  }
  telling.overdue = min - telling.warmMin > longestSpellMin(telling, trace);
  const fault = ofFault(telling, trace, usual) ?? ofWarmth(telling, trace, usual);
  if (fault !== null) return fault;
  const { door } = telling;
  if (door === null || door.back) {
    return (
      ofHours(telling, trace) ?? ofCold(telling, trace, hoursNeeded) ?? { cause: 'usual', sinceMin: min }
    );
  }
  const load = door.shut && min - door.peakMin >= loadAfterMin;
  if (load) telling.loadMin = min;
  return { cause: load ? 'warm-load' : 'door-open', sinceMin: door.sinceMin };
}

/** Only cooling brings the floor down by much, and below where it was before a door. */
function isCooling({ rising, turn, peak, floorC }: KeepTrace, usual: Usual, door: Door | null): boolean {
  const ampC = usual.hiC - usual.loC;
  const fellC = turn[1] - floorC;
  if (rising !== false || floorC > peak[1] || fellC < 0.3 * ampC) return false;
  return door === null || floorC <= door.fromC - 0.2 || fellC > 0.6 * ampC;
}

/** A spell of warmth that ended by itself is remembered: defrosts and doors make such, each place its own. */
function endSpell(telling: Telling, min: number): void {
  const spanMin = min - telling.warmMin;
  if (telling.warmMin > 0 && spanMin >= spellLeastMin && spanMin <= spellMostMin) {
    telling.spells.push([telling.warmMin, spanMin, telling.warmByDoor ? 1 : 0]);
    if (telling.spells.length > spellsMax) telling.spells.shift();
  }
  telling.warmMin = min;
  telling.warmByDoor = telling.door !== null;
}

/** Whether a spell of warmth, as a defrost makes them, may be due; also where a place is not known for long enough to tell. */
export function mayDefrost({ spells, warmMin }: Telling, { firstMin }: KeepTrace): boolean {
  if (firstMin === null || warmMin - firstMin < knownMin) return true;
  const begins = spells
    .filter(
      ([atMin, spanMin, door]) => atMin > warmMin - spellsForMin && spanMin > defrostLeastMin && door === 0,
    )
    .map(([atMin]) => atMin);
  const last = begins.at(-1);
  if (last === undefined) return false;
  if (begins.length < 3) return true;
  const gaps = begins.slice(1).map((atMin, place) => atMin - (begins[place] as number));
  return warmMin - last > dueShare * Math.min(...gaps);
}

/** How long a spell of warmth may last before it is more than usual, minutes: the second longest of the last days, and some. */
function longestSpellMin(telling: Telling, trace: KeepTrace): number {
  const { spells, warmMin, warmByDoor } = telling;
  if (!warmByDoor && !mayDefrost(telling, trace)) return spellLeastMin + 6;
  const spans = spells
    .filter(([atMin, , door]) => atMin > warmMin - spellsForMin && (warmByDoor || door === 0))
    .map(([, spanMin]) => spanMin)
    .sort((a, b) => b - a);
  const known = trace.firstMin === null ? 0 : warmMin - trace.firstMin;
  const longest = spans[0] ?? (known < knownMin ? firstSpellMin : spellLeastMin);
  return 1.15 * Math.max(longest, known < knownMin ? firstSpellMin : 0) + 6;
}

/** Before anything is usual only a door can be told, and one that stays wide open. */
function ofUnknown({ door }: Telling, min: number, tempC: number): Found {
  if (door === null) return { cause: 'settling', sinceMin: min };
  const ajar = !door.shut && min - door.lastStepMin > 2 * ajarMin && tempC > door.fromC + 3;
  return { cause: ajar ? 'door-ajar' : 'door-open', sinceMin: door.sinceMin };
}

/** A fault lasts until it is as cold as usual, the cooling is at work again, or the air comes back as only a shut door brings it. */
function ofFault(telling: Telling, trace: KeepTrace, usual: Usual): Found | null {
  const { cause, sinceMin, mostC } = telling;
  const [min, tempC] = trace.bins.at(-1) as [number, number];
  if (cause !== 'cooling-stopped' && cause !== 'door-ajar' && cause !== 'failing') return null;
  if (trace.floorC <= usual.hiMostC || telling.coldMin >= min - 1) return null;
  if (cause === 'door-ajar') {
    const fellC = mostC - tempC;
    const pace = lately(trace, 10)?.perMin ?? 0;
    if (fellC > Math.max(0.6, 0.4 * (mostC - usual.hiC)) && pace < -0.02) return null;
  }
  if (cause === 'failing' && telling.failsFromHour !== null) return null;
  return { cause, sinceMin };
}

/** Warmer than any ordinary top, doors that were shut again left aside: which fault it is, if it is one. */
function ofWarmth(telling: Telling, trace: KeepTrace, usual: Usual): Found | null {
  const { door, warmMin, coldMin } = telling;
  const [min] = trace.bins.at(-1) as [number, number];
  const ampC = Math.max(0.5, usual.hiC - usual.loC);
  // While a place is hardly known, its tops may still be higher.
  const newMin = Math.max(0, knownMin - (min - (trace.firstMin ?? min)));
  const leastC = Math.max(0.25, 0.1 * ampC, 4 * trace.noiseC) + (0.5 * newMin) / knownMin;
  if (trace.floorC < usual.hiMostC + leastC) return null;
  // What is left of a door explains the warmth where the cooling was not at work since.
  if (door !== null && door.sinceMin >= coldMin - 12) {
    if (door.leftC === null && min - warmMin < ajarAfterMin) return null;
    if (isLeft(door, usual) && warmMin - door.sinceMin < warmsWithinMin)
      return ofStep(telling, trace, usual, door);
  }
  const sinceMin = Math.max(coldMin, Math.min(trace.turn[0], warmMin));
  if (floorPace(trace) <= 0.1 || min - warmMin < 6) return null;
  if (!telling.overdue && !isSteady(trace, telling, usual)) return { cause: 'defrost', sinceMin };
  return { cause: isSlow(telling, trace, usual) ? 'failing' : 'cooling-stopped', sinceMin };
}

/** Without cooling it passes the top about when it always does; a weak compressor takes far longer. */
function isSlow({ warmMin, coldMin, lowMin }: Telling, trace: KeepTrace, usual: Usual): boolean {
  if (gotNowhere(trace, usual) || warmMin - lowMin > longWarm(usual)) return true;
  const fromC = Math.min(trace.turn[1], usual.hiC);
  const usualMin = Math.min(usual.riseMostMin, (usual.hiC - fromC) / usual.pacePerMin + floorMin);
  return warmMin - coldMin > slowRises * usualMin + 10;
}

/** A place that was not cold for so long was failing before what came last, minutes. */
function longWarm({ riseMostMin, fallMin }: Usual): number {
  return Math.max(180, 2 * (riseMostMin + fallMin));
}

/** True where it cools, or cooled before it began to warm, for far longer than usual and not as far. */
function gotNowhere({ rising, turn, peak, bins, fallsMin }: KeepTrace, usual: Usual): boolean {
  const [min] = bins.at(-1) as [number, number];
  const troughC = rising === true ? turn[1] : peak[1];
  const spanMin = rising === true ? (fallsMin.at(-1) ?? 0) : min - turn[0];
  const high = troughC > usual.loC + 0.3 * (usual.hiC - usual.loC);
  return high && spanMin > slowRises * usual.fallMin + 10;
}

/** True where the warmth goes on as the usual rise before it did, slower and slower: no heater does that. */
function isSteady(trace: KeepTrace, { warmMin, coldMin }: Telling, usual: Usual): boolean {
  const [min] = trace.bins.at(-1) as [number, number];
  const spanMin = min - warmMin;
  const slow = trace.floorC - usual.hiC <= 1.5 * usual.pacePerMin * spanMin + 2 * trace.noiseC;
  return spanMin >= 15 && slow && min - coldMin > usual.riseMostMin;
}

/** Warm since a door that left something behind: it stands ajar, or something warm went in. */
function ofStep(telling: Telling, trace: KeepTrace, usual: Usual, door: Door): Found | null {
  const [min] = trace.bins.at(-1) as [number, number];
  const sinceStep = min - door.lastStepMin;
  const late = min - telling.coldMin > 1.1 * usual.riseMostMin + 4;
  // A load cools down, and the cooling sets in; a door that stands ajar keeps the air where it is.
  if (floorPace(trace) < -0.3) return null;
  const much = ((door.leftC ?? 0) > ajarC || !door.shut) && sinceStep >= loadAfterMin;
  return much || (late && sinceStep > ajarAfterMin) ? { cause: 'door-ajar', sinceMin: door.sinceMin } : null;
}

/** Hours that are warmer one after the other than any of the days before: the cooling fails. */
function ofHours(telling: Telling, trace: KeepTrace): Found | null {
  const { hours } = trace;
  const done = hours.slice(0, -1);
  const from = telling.failsFromHour;
  const before = done.filter(([hour]) => (from === null ? true : hour < from));
  const base = from === null ? before.slice(0, -6) : before;
  if (base.length < hoursNeeded) return null;
  const means = base.map(([, meanC]) => meanC).sort((a, b) => a - b);
  const mostC = means[Math.floor(means.length * 0.9)] as number;
  const latest = done.slice(-3);
  const newer = latest.at(-1) as KeepTrace['hours'][0];
  if (from !== null) {
    const back = newer[1] <= mostC + 0.5 * failsByC;
    if (back) telling.failsFromHour = null;
    return back
      ? null
      : { cause: isSinceDoor(telling, trace) ? 'door-ajar' : 'failing', sinceMin: from * 60 };
  }
  if (isNeverLow(telling, trace)) {
    return { cause: isSinceDoor(telling, trace) ? 'door-ajar' : 'failing', sinceMin: telling.lowMin };
  }
  // What does not cool at all has another name, and soon.
  const { usual, coldMin } = telling;
  const min = trace.bins.at(-1)?.[0] ?? 0;
  if (usual !== null && trace.rising === true && min - coldMin < slowRises * usual.riseMostMin + 10)
    return null;
  // What was put in warm may take hours to cool: then one hour more must tell.
  const few = newer[0] * 60 - telling.loadMin > loadMostMin ? latest.slice(-2) : latest;
  const fails = few.every(([, meanC]) => meanC > mostC + failsByC) && newer[1] > (few[0]?.[1] ?? 0) - 0.05;
  if (!fails) return null;
  const firstHour = few[0]?.[0] ?? newer[0];
  telling.failsFromHour = firstHour;
  return { cause: isSinceDoor(telling, trace) ? 'door-ajar' : 'failing', sinceMin: firstHour * 60 };
}

/** Hours that are colder than any before and do not get warmer: it does not stop cooling. */
function ofCold({ cause, sinceMin }: Telling, { hours }: KeepTrace, needed: number): Found | null {
  const done = hours.slice(0, -1);
  const isCold = cause === 'too-cold';
  const base = isCold ? done.filter(([hour]) => hour * 60 < sinceMin) : done.slice(0, -2);
  const [older, newer] = done.slice(-2);
  if (base.length < needed || older === undefined || newer === undefined) return null;
  const leastC = Math.min(...base.map(([, meanC]) => meanC));
  if (isCold) return newer[1] < leastC - 0.5 * colderByC ? { cause, sinceMin } : null;
  const falls = newer[1] < leastC - colderByC && newer[1] < older[1];
  return falls ? { cause: 'too-cold', sinceMin: older[0] * 60 } : null;
}

/** True where it has not been as cold as it gets for hours, and is getting warmer. */
function isNeverLow({ usual, lowMin, loadMin, cause }: Telling, trace: KeepTrace): boolean {
  const min = trace.bins.at(-1)?.[0] ?? 0;
  if (usual === null || min - loadMin < 90) return false;
  const [older, newer] = [trace.hours.at(-4), trace.hours.at(-2)];
  if (older === undefined || newer === undefined) return false;
  const rises = newer[1] - older[1] > (cause === 'failing' ? 0 : 0.15);
  return rises && min - lowMin > Math.max(neverLowMin, 2.5 * (usual.riseMostMin + usual.fallMin));
}

/** True where nobody opened it since the door after which it was never cold again: whoever comes by would shut it. */
function isSinceDoor({ doorMin, lowMin, usual }: Telling, { bins }: KeepTrace): boolean {
  const [min] = bins.at(-1) as [number, number];
  const afterLow = doorMin - lowMin;
  return usual !== null && afterLow > -5 && afterLow < usual.riseMostMin + 15 && min - doorMin > nobodyMin;
}

/** Milk shows no doors and hardly the cycle: it only says that it warms, and since when. */
function ofVessel(telling: Telling, trace: KeepTrace): Found {
  const [min, tempC] = trace.bins.at(-1) as [number, number];
  const hours = trace.hours.slice(0, -1);
  const usual: Found = { cause: hours.length < 4 ? 'settling' : 'usual', sinceMin: min };
  const pace = lately(trace, 40);
  if (pace === null || hours.length < 4) return usual;
  const cold = ofCold(telling, trace, 4);
  if (cold !== null) return cold;
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
