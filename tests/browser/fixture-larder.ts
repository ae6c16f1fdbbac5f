/** The larder fridge of the canned mornings: its air cycles, a jar of water in it lags, and the power may go. */

import type { HistoryView } from '../../shared/contract/api.ts';
import type { InstantQuantiles, PathPoint } from '../../shared/contract/forecast.ts';
import type { KeepNote } from '../../shared/contract/keep.ts';
import type { KeepState, KeepView } from '../../shared/contract/keep-view.ts';
import { morningMs } from './fixture-morning.ts';

/**
 * A cut in the night that is over; cooling that stopped 40 min ago, and 3 h ago; cooling that does not stop;
 * and the first of these with nothing but a probe in the air.
 */
export type LarderCase = 'night-cut' | 'stopped' | 'long-stopped' | 'too-cold' | 'by-air';

const minuteMs = 60_000;
const stepMs = 30_000;
const pastMs = 14 * 60 * minuteMs;
const limitC = 40 / 9;
const roomC = 19;

type Sample = { atMs: number; airC: number; jarC: number };

/** When nothing cooled, minutes before now; the second is null where it still does not. */
const stops: Record<LarderCase, [from: number, to: number | null]> = {
  'night-cut': [294, 219],
  'by-air': [294, 219],
  'too-cold': [0, 0],
  stopped: [40, null],
  'long-stopped': [180, null],
};

/** When somebody opened the door, minutes before now, and for how many seconds. */
const doors = [
  [563, 45],
  [409, 30],
  [18, 40],
] as const;

const samples = new Map<LarderCase, Sample[]>();

/** Air with a thermostat, and a jar in it: dT/dt = (air - jar) / 150 min, both in steps of 30 s. */
function samplesOf(which: LarderCase): Sample[] {
  const known = samples.get(which);
  if (known !== undefined) return known;
  const run: Sample[] = [];
  const [stopFrom, stopTo] = stops[which];
  let airC = 2.6;
  let jarC = 2.9;
  let cooling = false;
  for (let atMs = morningMs - pastMs; atMs <= morningMs; atMs += stepMs) {
    const before = (morningMs - atMs) / minuteMs;
    const off = before <= stopFrom && (stopTo === null || before > stopTo);
    const colder = which === 'too-cold' && before < 330 ? 4 : 0;
    if (airC > 4 - colder) cooling = true;
    if (airC < 1.6 - colder) cooling = false;
    const open = doors.some(([at, seconds]) => before <= at && before > at - seconds / 60);
    const pull = cooling && !off ? -0.16 : 0;
    airC += (pull + (open ? 3.2 : 0) + (roomC - airC) * 0.0028 + (jarC - airC) * 0.004) * (stepMs / minuteMs);
    jarC += ((airC - jarC) / 150) * (stepMs / minuteMs);
    run.push({ atMs, airC, jarC });
  }
  samples.set(which, run);
  return run;
}

/** What the probes of the larder told over a span; null for any other probe. */
export function larderHistory(
  which: LarderCase,
  probe: string,
  { fromMs, points, toMs }: { fromMs: number; toMs: number; points: number },
): HistoryView | null {
  if (probe !== 'larder-water' && probe !== 'larder-air') return null;
  const bucketMs = Math.max(stepMs, Math.ceil((toMs - fromMs) / points));
  const buckets: HistoryView['buckets'] = [];
  for (let at = fromMs; at < toMs; at += bucketMs) {
    const within = samplesOf(which).filter(({ atMs }) => atMs >= at && atMs < at + bucketMs);
    if (within.length === 0) continue;
    const temps = within.map(({ airC, jarC }) => (probe === 'larder-air' ? airC : jarC));
    buckets.push({
      fromMs: at,
      toMs: at + bucketMs,
      minC: Math.min(...temps),
      maxC: Math.max(...temps),
      meanC: temps.reduce((sum, tempC) => sum + tempC, 0) / temps.length,
      count: temps.length,
    });
  }
  return { v: 1, probe, fromMs, toMs, buckets };
}

/** The keeps of the larder: by its jar of water, and by its air. */
export function larderKeeps(which: LarderCase): KeepView[] {
  const air = keepOf(which, false);
  if (which === 'by-air') return [air];
  // The air's own keep is calm in a night that is over, and tells of the same trouble while it lasts.
  return which === 'night-cut' ? [keepOf(which, true), air] : [keepOf(which, true)];
}

function keepOf(which: LarderCase, inVessel: boolean): KeepView {
  const run = samplesOf(which);
  const last = run.at(-1);
  if (last === undefined) throw new Error('the larder must have samples');
  const tempC = inVessel ? last.jarC : last.airC;
  const stopped = stops[which][1] === null;
  const cold = which === 'too-cold';
  const probe = inVessel ? 'larder-water' : 'larder-air';
  const doubtC = inVessel ? 0.05 : 0.5;
  const state: KeepState = which === 'long-stopped' ? 'left' : stopped || cold ? 'leaving' : 'keeping';
  const gone = cold ? coolingFrom(last) : warmingFrom(last);
  return {
    v: 1,
    id: `keep-${probe}-4`,
    kind: 'keep',
    probe,
    place: 'larder',
    placeKind: 'fridge',
    state,
    sinceMs: morningMs - 6 * 24 * 60 * minuteMs,
    window: { lowC: -0.53, highC: limitC },
    marginC: 0.28,
    latest: { atMs: morningMs, tempC },
    inVessel,
    milk: { p10: last.jarC - doubtC, p50: last.jarC, p90: last.jarC + doubtC },
    cause: stopped ? 'cooling-stopped' : cold ? 'too-cold' : 'usual',
    causeSinceMs: morningMs - (stopped ? stops[which][0] : 219) * minuteMs,
    side: stopped ? 'warm' : cold ? 'cold' : null,
    leftAtMs: state === 'left' ? (run.find(({ jarC }) => jarC > limitC)?.atMs ?? morningMs) : null,
    day: {
      milkMostC: Math.max(...run.map(({ jarC }) => jarC)),
      probeMostC: Math.max(...run.map(({ airC, jarC }) => (inVessel ? jarC : airC))),
      milkLeastC: Math.min(...run.map(({ jarC }) => jarC)),
      probeLeastC: Math.min(...run.map(({ airC, jarC }) => (inVessel ? jarC : airC))),
      milkOverMs: run.filter(({ jarC }) => jarC > limitC).length * stepMs,
      probeOverMs: run.filter(({ airC, jarC }) => (inVessel ? jarC : airC) > limitC).length * stepMs,
    },
    duty: { dayShare: inVessel ? null : 0.23, weekAgoShare: inVessel ? null : 0.24 },
    notes: notesOf(which),
    silentSinceMs: null,
    forecast:
      stopped || cold
        ? {
            v: 1,
            watch: `keep-${probe}-4`,
            madeAtMs: morningMs,
            dataToMs: morningMs,
            verdict: 'not-on-course',
            chance: 0.3,
            crossing: gone.crossing,
            atDeadline: null,
            path: gone.path,
            rescues: [],
            assumed: { place: 'fridge', aroundC: last.airC, volumeL: null, from: 'measured' },
            marginC: 0.28,
          }
        : null,
    ifPowerWent: stopped || cold ? null : gone,
  };
}

/** A shut box without cooling, at three speeds: air and jar go towards the room. */
function warmingFrom({ airC, jarC }: Sample): { crossing: InstantQuantiles; path: PathPoint[] } {
  const at = (perMin: number, minutes: number) => {
    let [air, jar] = [airC, jarC];
    for (let minute = 0; minute < minutes; minute += 1) {
      air += (roomC - air) * perMin + (jar - air) * 0.004;
      jar += (air - jar) / 150;
    }
    return jar;
  };
  const [slow, middle, fast] = [0.0024, 0.0028, 0.0033];
  const when = (perMin: number) => {
    let minutes = 0;
    while (at(perMin, minutes) <= limitC && minutes < 900) minutes += 1;
    return morningMs + minutes * minuteMs;
  };
  return {
    crossing: { p10: when(fast), p50: when(middle), p90: when(slow) },
    path: Array.from({ length: 41 }, (_, step) => ({
      atMs: morningMs + step * 9 * minuteMs,
      p10C: at(slow, step * 9),
      p50C: at(middle, step * 9),
      p90C: at(fast, step * 9),
    })),
  };
}

/** Cooling that does not stop: the jar goes towards -3 °C, at three speeds. */
function coolingFrom({ jarC }: Sample): { crossing: InstantQuantiles; path: PathPoint[] } {
  const at = (perMin: number, minutes: number) => -3 + (jarC + 3) * Math.exp(-perMin * minutes);
  const when = (perMin: number) =>
    morningMs + Math.round(Math.max(5, Math.log((jarC + 3) / 2.47) / perMin)) * minuteMs;
  const [slow, middle, fast] = [0.005, 0.0067, 0.009];
  return {
    crossing: { p10: when(fast), p50: when(middle), p90: when(slow) },
    path: Array.from({ length: 31 }, (_, step) => ({
      atMs: morningMs + step * 9 * minuteMs,
      p10C: at(fast, step * 9),
      p50C: at(middle, step * 9),
      p90C: at(slow, step * 9),
    })),
  };
}

/** What a probe of the larder reads now, °C. */
export function larderNowC(which: LarderCase, probe: 'larder-water' | 'larder-air'): number {
  const last = samplesOf(which).at(-1);
  return (probe === 'larder-air' ? last?.airC : last?.jarC) ?? 0;
}

function notesOf(which: LarderCase): KeepNote[] {
  const most = (fromMs: number, toMs: number) =>
    Math.max(
      ...samplesOf(which)
        .filter(({ atMs }) => atMs >= fromMs && atMs <= toMs + minuteMs)
        .map(({ airC }) => airC),
    );
  const opened = doors.map(([before, seconds]): KeepNote => {
    const fromMs = morningMs - before * minuteMs;
    const toMs = fromMs + seconds * 1000;
    return { cause: 'door-open', fromMs, toMs, mostC: most(fromMs, toMs) };
  });
  if (which === 'too-cold') return opened;
  const [from, to] = stops[which];
  const fromMs = morningMs - from * minuteMs;
  const toMs = to === null ? null : morningMs - to * minuteMs;
  const stopped: KeepNote = {
    cause: to === null ? 'cooling-stopped' : 'power-off',
    fromMs,
    toMs,
    mostC: most(fromMs, toMs ?? morningMs),
  };
  return [...opened, stopped].sort((a, b) => a.fromMs - b.fromMs);
}
