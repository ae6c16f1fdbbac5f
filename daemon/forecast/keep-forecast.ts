/** Where the milk of a place is going: equally likely ways of its air, each felt by a quick, a middle and a slow jar. */
import type { InstantQuantiles, PathPoint, TempQuantiles } from '../../shared/contract/forecast.ts';
import type { KeepCause, KeepWindow } from '../../shared/contract/keep.ts';
import { milkFreezesC } from '../../shared/dairy/milk-freezing.ts';
import type { Telling } from './keep-cause.ts';
import { type KeepJar, milkOf } from './keep-jar.ts';
import { floorIn, floorPace, type KeepTrace, lately } from './keep-trace.ts';
import { type Usual, usualMeanC } from './keep-usual.ts';

export type KeepQuestion = { window: KeepWindow; marginC: number };

/** A forecast of a keep, before the watch makes it the contract's. */
export type KeepOutlook = {
  madeAtMs: number;
  dataToMs: number;
  /** That the milk stays in the window, beyond the margin, for the next hour. */
  chance: number;
  /** When it leaves on the warm side, and on the cold. */
  warm: InstantQuantiles;
  cold: InstantQuantiles;
  path: PathPoint[];
  milk: TempQuantiles;
  aroundC: number;
};

/** Beyond this much time a crossing is called never. */
const foreseeableMin = 24 * 60;
const stepsMax = 96;
/** Points of a path, each some steps of a run from the next: it is kept in the snapshot. */
const pathPointsWanted = 30;
const pathStride = 2;
const chanceSpanMin = 60;
/** What a way may be off within the next hour, °C. */
const doubtC = 0.15;
/** The room around, where nobody measures it, °C. */
const roomC = 20;

/** One way that the air may go: °C after so many minutes. */
type Way = (min: number) => number;

/** Returns where it is going if nothing changes; null before the first closed minute. */
export function forecastKeep(
  { jar, trace, telling }: { jar: KeepJar; trace: KeepTrace; telling: Telling },
  question: KeepQuestion,
  cause: KeepCause,
): KeepOutlook | null {
  const milk = milkOf(jar);
  if (milk === null || jar.atMs === null || trace.bins.length === 0) return null;
  const ways = jar.inVessel ? null : waysOfAir(trace, telling, cause);
  const runs = ways === null ? runsOfMilk(jar, trace, cause) : runsOfAir(jar, ways);
  return outlookOf(runs, question, { milk, atMs: jar.atMs, aroundC: jar.airC });
}

/** Returns where it would go if the power went now and the door stayed shut; null before the first closed minute. */
export function forecastPowerCut(
  { jar, trace }: { jar: KeepJar; trace: KeepTrace },
  question: KeepQuestion,
): KeepOutlook | null {
  const milk = milkOf(jar);
  if (milk === null || jar.atMs === null || trace.hours.length === 0) return null;
  const fromC = milk.p50;
  const ways = boxHours.map((hours, place): Way => {
    const overC = [0.4, 1, 1.8][place] as number;
    return (min) => {
      const driven = fromC + (roomC - fromC) * (1 - Math.exp(-min / (60 * hours)));
      return driven + overC * (1 - Math.exp(-min / 20));
    };
  });
  const asAir: KeepJar = { ...jar, inVessel: false, milkC: [fromC, fromC, fromC] };
  return outlookOf(runsOfAir(asAir, ways), question, { milk, atMs: jar.atMs, aroundC: jar.airC });
}

/**
 * How slowly a shut box without power takes the room's temperature, hours: a half-empty, a usual and a full
 * one (60-100 kJ/K of food and walls behind 1.5-2 W/K of insulation; common practice, no source).
 */
const boxHours = [5.5, 9, 15] as const;

type Run = { atMin: number; milkC: number }[];

function runsOfAir(jar: KeepJar, ways: readonly Way[]): Run[] {
  return ways.flatMap((way) =>
    jar.tauMin.map((tauMin, place) => {
      const run: Run = [];
      // A quick jar has felt what was; one that is ahead of the others stays it.
      let milkC = jar.milkC[place] as number;
      for (let step = 0; step <= stepsMax; step++) {
        const atMin = minuteOf(step);
        run.push({ atMin, milkC });
        const spanMin = minuteOf(step + 1) - atMin;
        const airC = way(atMin + spanMin / 2);
        milkC = airC + (milkC - airC) * Math.exp(-spanMin / tauMin);
      }
      return run;
    }),
  );
}

/** Steps grow: two minutes at first, half an hour at the end of the day. */
function minuteOf(step: number): number {
  return foreseeableMin * (step / stepsMax) ** 1.6;
}

/** From the milk's own reading: it goes on as lately, or bends towards what drives it. */
function runsOfMilk(jar: KeepJar, trace: KeepTrace, cause: KeepCause): Run[] {
  const fromC = jar.milkC[1];
  const perMin = lately(trace, cause === 'warming' ? 30 : 60)?.perMin ?? 0;
  const warms = cause !== 'usual' && cause !== 'settling';
  const meanC = usualMeanC(trace);
  return [0.6, 0.85, 1, 1.15, 1.5].map((share, place) =>
    Array.from({ length: stepsMax + 1 }, (_, step) => {
      const atMin = minuteOf(step);
      if (!warms) {
        const tauMin = [40, 60, 90, 130, 200][place] as number;
        return { atMin, milkC: meanC + (fromC - meanC) * Math.exp(-atMin / tauMin) };
      }
      // What drives it fades over hours as the room's own temperature comes nearer.
      const fadeMin = 8 * 60;
      return { atMin, milkC: fromC + perMin * share * fadeMin * (1 - Math.exp(-atMin / fadeMin)) };
    }),
  );
}

function waysOfAir(trace: KeepTrace, telling: Telling, cause: KeepCause): Way[] {
  const [newestMin, tempC] = trace.bins.at(-1) as [number, number];
  // A door that was just open is not where the air rests.
  const nowC = cause === 'cooling-stopped' || cause === 'power-off' ? floorIn(trace, 0, 8) : tempC;
  const meanC = usualMeanC(trace);
  const sinceMin = Math.max(0, newestMin - telling.sinceMin);
  const back =
    (tauMin: number, toC = meanC): Way =>
    (min) =>
      toC + (nowC - toC) * Math.exp(-min / tauMin);
  switch (cause) {
    case 'settling':
    case 'usual':
      return [back(5), back(15), back(40)];
    case 'door-open':
      return [back(8), back(20), back(60)];
    case 'defrost':
      return [back(10), back(25), back(60)];
    case 'warm-load':
      return [back(60), back(120), back(240)];
    case 'cooling-stopped':
    case 'power-off':
    case 'warming':
      return stoppedWays(trace, telling.usual, { nowC, sinceMin });
    case 'door-ajar':
      return ajarWays(trace, nowC);
    case 'failing':
      return failingWays(trace, nowC);
    case 'too-cold': {
      const perHour = Math.min(0, hourlyRise(trace, 3));
      return [0.5, 1, 1.5].map(
        (share): Way =>
          (min) =>
            lately(trace, 45)?.meanC ?? nowC + (perHour * share * min) / 60,
      );
    }
    default:
      return cause satisfies never;
  }
}

/** Without cooling the air leaves its fast rise within half an hour, and then goes with what stands in it. */
function stoppedWays(
  trace: KeepTrace,
  usual: Usual | null,
  { nowC, sinceMin }: { nowC: number; sinceMin: number },
): Way[] {
  const raw = lately(trace, 20)?.perMin ?? 0;
  // Without cooling it does not rise faster than it usually does at the end of its rises.
  const most = usual === null ? 0.1 : 1.1 * usual.pacePerMin;
  const perMin = Math.max(0.006, Math.min(raw, (1.2 * floorPace(trace)) / 60 + 0.004, most));
  // The longer it lasts, the more the pace of now is the slow one.
  const known = Math.min(1, sinceMin / 100);
  return [0.25, 0.45, 0.75].map((least, place): Way => {
    const slow = perMin * (least + (1 - least) * known * ([0.7, 0.9, 1][place] as number));
    const fadeMin = [12, 18, 28][place] as number;
    const toRoom = Math.max(1, roomC - nowC);
    return (min) => {
      const gone = toRoom * (1 - Math.exp((-slow * min) / toRoom));
      return nowC + gone + (perMin - slow) * fadeMin * (1 - Math.exp(-min / fadeMin));
    };
  });
}

/** With the door ajar the air nears a level of its own, and what stands in it follows. */
function ajarWays(trace: KeepTrace, nowC: number): Way[] {
  const perMin = Math.max(0, lately(trace, 5)?.perMin ?? 0);
  return [3, 10, 25].map((fadeMin, place): Way => {
    const slowPerMin = ([0.2, 0.8, 1.6][place] as number) / 60;
    return (min) =>
      nowC + perMin * fadeMin * (1 - Math.exp(-min / fadeMin)) + slowPerMin * Math.min(min, 360);
  });
}

function failingWays(trace: KeepTrace, nowC: number): Way[] {
  const hourC = lately(trace, 60)?.meanC ?? nowC;
  const perHour = Math.max(0.05, hourlyRise(trace, 4));
  return [0.5, 1, 1.6].map(
    (share): Way =>
      (min) =>
        hourC + (perHour * share * min) / 60,
  );
}

/** How fast the last hours' means rise, °C an hour. */
function hourlyRise(trace: KeepTrace, count: number): number {
  const hours = trace.hours.slice(-count - 1, -1);
  const first = hours[0];
  const last = hours.at(-1);
  if (first === undefined || last === undefined || last[0] === first[0]) return 0;
  return (last[1] - first[1]) / (last[0] - first[0]);
}

function outlookOf(
  runs: readonly Run[],
  { window, marginC }: KeepQuestion,
  now: { milk: TempQuantiles; atMs: number; aroundC: number },
): KeepOutlook {
  const { atMs } = now;
  const { lowC, highC } = window;
  const instants = (limitC: number | null, sign: number): InstantQuantiles => {
    const minutes =
      limitC === null ? [] : runs.map((run) => minutesTo(run, limitC, sign)).sort((a, b) => a - b);
    const at = (share: number) => {
      const min = minutes[Math.min(minutes.length - 1, Math.floor(minutes.length * share))];
      return min === undefined || min === Number.POSITIVE_INFINITY ? null : Math.round(atMs + min * 60_000);
    };
    return { p10: at(0.1), p50: at(0.5), p90: at(0.9) };
  };
  const stays = runs.map((run) => {
    const next = run.filter(({ atMin }) => atMin <= chanceSpanMin).map(({ milkC }) => milkC);
    const warm = highC === null ? 1 : normal((highC - marginC - Math.max(...next)) / doubtC);
    const cold = lowC === null ? 1 : normal((Math.min(...next) - lowC - marginC) / doubtC);
    return warm * cold;
  });
  return {
    madeAtMs: atMs,
    dataToMs: atMs,
    chance: round(stays.reduce((sum, share) => sum + share, 0) / Math.max(1, stays.length), 1e4),
    warm: instants(highC, 1),
    cold: instants(lowC, -1),
    path: pathOf(runs, atMs),
    milk: now.milk,
    aroundC: now.aroundC,
  };
}

function pathOf(runs: readonly Run[], atMs: number): PathPoint[] {
  const steps = (runs[0]?.length ?? 1) - 1;
  return Array.from({ length: pathPointsWanted + 1 }, (_, point) => {
    const step = point * pathStride;
    if (step > steps) return null;
    const temps = runs.map((run) => Math.max(milkFreezesC, run[step]?.milkC ?? 0)).sort((a, b) => a - b);
    const at = (share: number) => round(temps[Math.floor((temps.length - 1) * share + 0.5)] as number, 1e3);
    const atMin = runs[0]?.[step]?.atMin ?? 0;
    return { atMs: Math.round(atMs + atMin * 60_000), p10C: at(0.1), p50C: at(0.5), p90C: at(0.9) };
  }).filter((point) => point !== null);
}

/** Minutes until a run goes beyond the limit on its side; 0 where it is, Infinity where it never does. */
function minutesTo(run: Run, limitC: number, sign: number): number {
  for (const [place, { atMin, milkC }] of run.entries()) {
    if (sign * (milkC - limitC) <= 0) continue;
    const before = run[place - 1];
    if (before === undefined) return 0;
    const share = (limitC - before.milkC) / (milkC - before.milkC);
    return before.atMin + (atMin - before.atMin) * share;
  }
  return Number.POSITIVE_INFINITY;
}

/** The normal distribution's share below `z` (logistic approximation, within 0.01). */
function normal(z: number): number {
  return 1 / (1 + Math.exp(-1.702 * z));
}

function round(value: number, steps: number): number {
  return Math.round(value * steps) / steps;
}
