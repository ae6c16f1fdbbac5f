import type { PlaceKind } from '../../shared/contract/ids.ts';
import type { ExcursionRule, KeepCause, KeepNote, KeepSide, KeepWindow } from '../../shared/contract/keep.ts';
import { openTelling, shiftTelling, type Telling } from '../forecast/keep-cause.ts';
import type { KeepOutlook } from '../forecast/keep-forecast.ts';
import { type KeepJar, openKeepJar } from '../forecast/keep-jar.ts';
import { type KeepTrace, openKeepTrace, shiftKeepTrace } from '../forecast/keep-trace.ts';
import { type Excursion, openExcursion, shiftExcursion } from './excursion.ts';
import { type MilkEnd, openMilkEnd } from './milk-end.ts';

/** One open keep: what stands in a cold place against its window. Plain JSON, under 16 KB. */
export type Keep = {
  id: string;
  probe: string;
  place: string | null;
  placeKind: PlaceKind | null;
  sinceMs: number;
  window: KeepWindow;
  marginC: number;
  /** True where the place and its limit are worth an alarm; false where they are only told of. */
  alarms: boolean;
  /** True in a vessel, false in the air, null while its readings have not told. */
  inVesselTold: boolean | null;
  /** How much neighbouring minutes of five differ, °C: air goes up and down, milk hardly. */
  swingC: number;
  jar: KeepJar;
  trace: KeepTrace;
  telling: Telling;
  /** Feels a jar being taken out; only in a vessel. */
  end: MilkEnd;
  latest: { atMs: number; tempC: number } | null;
  outlook: KeepOutlook | null;
  ifPowerWent: KeepOutlook | null;
  forecastDueMs: number | null;
  forecastDataMs: number | null;
  /** Since when two places warm together, so that the power must be off. */
  powerOffMs: number | null;
  /** What another probe of the same place tells of it. */
  sharedCause: KeepCause | null;
  matter: Matter | null;
  /** The last matter that is over, so that its repetition is quiet. */
  lastMatter: { cause: KeepCause; endedMs: number } | null;
  excursions: { sure: Excursion; far: Excursion; cold: Excursion };
  /** [hour, warmest milk, warmest probe, ms of milk over, ms of probe over, coldest milk, coldest probe], the last 25 hours. */
  hours: [number, number, number, number, number, number, number][];
  /** True where a window was asked for this probe itself: then its readings are what leaves, also in the air. */
  leftByReadings: boolean;
  /** When the readings first went beyond the window; in the air, when the milk did. */
  left: Leaving;
  notes: KeepNote[];
  /** [day, notes written on it]. */
  notedOn: [number, number];
  driftSaidMs: number | null;
  said: Record<string, number>;
};

/** The first reading beyond the window that none in the next 60 s contradicted, and the one that waits for that. */
export type Leaving = { candidateMs: number | null; atMs: number | null };

/** Something that takes, or would take, the milk out of its window; one notice each. */
export type Matter = {
  side: KeepSide;
  cause: KeepCause;
  sinceMs: number;
  /** Since when its condition holds, and since when it does not; one of them is null. */
  holdsSinceMs: number | null;
  goneSinceMs: number | null;
  /** True once it was told to a person. */
  told: boolean;
  leftAtMs: number | null;
  leftBy: ExcursionRule | null;
  mostC: number;
};

export type KeepStart = {
  id: string;
  probe: string;
  place: string | null;
  placeKind: PlaceKind | null;
  sinceMs: number;
  window: KeepWindow;
  marginC: number;
  inVessel: boolean | null;
  volumeL: number | null;
  leftByReadings: boolean;
};

/** Opens a keep without readings. */
export function openKeep(start: KeepStart): Keep {
  const { id, probe, place, placeKind, sinceMs, window, marginC, inVessel, volumeL } = start;
  return {
    id,
    probe,
    place,
    placeKind,
    sinceMs,
    window,
    marginC,
    alarms: placeKind !== 'freezer',
    inVesselTold: inVessel,
    swingC: 0,
    jar: openKeepJar({ inVessel: inVessel === true, volumeL }),
    trace: openKeepTrace(),
    telling: { ...openTelling(), sinceMin: sinceMs / 60_000 },
    end: openMilkEnd(),
    latest: null,
    outlook: null,
    ifPowerWent: null,
    forecastDueMs: null,
    forecastDataMs: null,
    powerOffMs: null,
    sharedCause: null,
    matter: null,
    lastMatter: null,
    excursions: { sure: openExcursion(), far: openExcursion(), cold: openExcursion() },
    hours: [],
    leftByReadings: start.leftByReadings,
    left: { candidateMs: null, atMs: null },
    notes: [],
    notedOn: [0, 0],
    driftSaidMs: null,
    said: {},
  };
}

/** What goes on, with what other probes tell: power where two places warm together. */
export function causeOf(keep: Keep): KeepCause {
  const { cause } = keep.telling;
  const warms = cause === 'cooling-stopped' || cause === 'warming';
  if (warms && keep.powerOffMs !== null) return 'power-off';
  return cause === 'warming' ? (keep.sharedCause ?? cause) : cause;
}

/** Takes over `keep` with every instant later by `deltaMs`, after a step of the clock its readings go by. */
export function shiftKeep(keep: Keep, deltaMs: number): Keep {
  const later = (atMs: number | null) => (atMs === null ? null : atMs + deltaMs);
  const { excursions, matter, lastMatter } = keep;
  return {
    ...keep,
    sinceMs: keep.sinceMs + deltaMs,
    jar: { ...keep.jar, atMs: later(keep.jar.atMs) },
    trace: shiftKeepTrace(keep.trace, deltaMs),
    telling: shiftTelling(keep.telling, deltaMs),
    end: openMilkEnd(),
    latest: keep.latest && { ...keep.latest, atMs: keep.latest.atMs + deltaMs },
    outlook: null,
    ifPowerWent: null,
    forecastDueMs: later(keep.forecastDueMs),
    forecastDataMs: null,
    powerOffMs: later(keep.powerOffMs),
    matter: matter && {
      ...matter,
      sinceMs: matter.sinceMs + deltaMs,
      holdsSinceMs: later(matter.holdsSinceMs),
      goneSinceMs: later(matter.goneSinceMs),
      leftAtMs: later(matter.leftAtMs),
    },
    lastMatter: lastMatter && { ...lastMatter, endedMs: lastMatter.endedMs + deltaMs },
    excursions: {
      sure: shiftExcursion(excursions.sure, deltaMs),
      far: shiftExcursion(excursions.far, deltaMs),
      cold: shiftExcursion(excursions.cold, deltaMs),
    },
    left: { candidateMs: later(keep.left.candidateMs), atMs: later(keep.left.atMs) },
    notes: keep.notes.map((note) => ({ ...note, fromMs: note.fromMs + deltaMs, toMs: later(note.toMs) })),
    driftSaidMs: later(keep.driftSaidMs),
  };
}
