/** Canned mornings for the page: what the house would answer in each named state, from simple physics. */

import type {
  AnyWatchView,
  HistoryView,
  HouseView,
  Notice,
  ProbeView,
  WatchState,
  WatchView,
} from '../../shared/contract/api.ts';
import type { Forecast, PathPoint, Rescue } from '../../shared/contract/forecast.ts';
import type { KeepView } from '../../shared/contract/keep-view.ts';
import { type LarderCase, larderHistory, larderKeeps, larderNowC } from './fixture-larder.ts';
import { morningMs } from './fixture-morning.ts';
import { type PotCase, potHistory, potNowC, potWatches } from './fixture-pot.ts';

export type StateName =
  | 'doomed'
  | 'good'
  | 'early'
  | 'made'
  | 'missed'
  | 'late'
  | 'silent'
  | 'doubted'
  | 'empty'
  | 'several'
  | 'celsius'
  | 'keeping'
  | 'leaving'
  | 'left'
  | 'too-cold'
  | 'by-air'
  | 'pot-climbing'
  | 'pot-heat-off'
  | 'pot-short'
  | 'pot-holding'
  | 'pot-begun-again'
  | 'mixed';

/** What the house answers in one state. */
export type Answers = {
  house: HouseView;
  probes: ProbeView[];
  watches: AnyWatchView[];
  /** The chills alone. */
  chills: WatchView[];
  notices: Notice[];
  historyOf: (probe: string, span: { fromMs: number; toMs: number; points: number }) => HistoryView;
};

export { morningMs } from './fixture-morning.ts';

const minuteMs = 60_000;

const limitC = 40 / 9;
const milkC = 36.4;

/** A curve: °C at so many minutes after the milk went in; `ease` below 1 cools slower, above 1 faster. */
type Cooling = (minutes: number, ease?: number) => number;

/** In still air: natural convection, dT/dt = -k (T - Ta)^1.25, in closed form; under the limit after 107 min. */
const inFreezer: Cooling = (minutes, ease = 1) => {
  const aroundC = -17.8;
  const k = (4 * ((limitC - aroundC) ** -0.25 - (milkC - aroundC) ** -0.25)) / 107;
  return aroundC + ((milkC - aroundC) ** -0.25 + (k * ease * minutes) / 4) ** -4;
};

/** In a stirred ice bath: Newton's law towards 0.6 °C; under the limit after 44 min. */
const inIceBath: Cooling = (minutes, ease = 1) => {
  const rate = Math.log((milkC - 0.6) / (limitC - 0.6)) / 44;
  return 0.6 + (milkC - 0.6) * Math.exp(-rate * ease * minutes);
};

const spread = 0.09;

type Jar = {
  probe: string;
  cooling: Cooling;
  /** Minutes from the milk going in to now. */
  since: number;
  /** Minutes from the milk going in to the last reading. */
  heard: number;
  state: WatchState;
};

function whenUnder(jar: Jar, ease: number): number {
  let minutes = 0;
  while (coolingFrom(jar, ease)(minutes) > limitC && minutes < 600) minutes += 0.25;
  return minutes;
}

/** The curve as it was to the last reading, and from there on eased. */
function coolingFrom({ cooling, heard }: Jar, ease: number): (minutes: number) => number {
  return (minutes) => cooling(minutes <= heard ? minutes : heard + (minutes - heard) * ease);
}

function startMs(jar: Jar): number {
  return morningMs - jar.since * minuteMs;
}

function forecastOf(jar: Jar, deadline: number): Forecast {
  const atMs = (minutes: number) => Math.round(startMs(jar) + minutes * minuteMs);
  const path: PathPoint[] = [];
  for (let minutes = jar.heard; minutes <= Math.max(190, jar.heard + 60); minutes += 2.5) {
    path.push({
      atMs: atMs(minutes),
      p10C: coolingFrom(jar, 1 + spread)(minutes),
      p50C: coolingFrom(jar, 1)(minutes),
      p90C: coolingFrom(jar, 1 - spread)(minutes),
    });
  }
  const then = (ease: number) => coolingFrom(jar, ease)(deadline);
  const good = whenUnder(jar, 1) < deadline;
  return {
    v: 1,
    watch: `chill-${jar.probe}-1`,
    madeAtMs: atMs(jar.heard),
    dataToMs: atMs(jar.heard),
    verdict: jar.state === 'too-early' ? 'unsure' : good ? 'on-course' : 'not-on-course',
    chance: good ? 0.98 : 0.01,
    crossing: {
      p10: atMs(whenUnder(jar, 1 + spread)),
      p50: atMs(whenUnder(jar, 1)),
      p90: atMs(whenUnder(jar, 1 - spread)),
    },
    atDeadline: jar.since < deadline ? { p10: then(1 + spread), p50: then(1), p90: then(1 - spread) } : null,
    path,
    rescues: good || jar.state === 'too-early' ? [] : waysOf(jar),
    assumed: { place: 'freezer', aroundC: -17.8, volumeL: 0.95, from: 'told' },
    marginC: 0.28,
  };
}

/** Stirred ice, the same after cold water, and five small jars in the freezer, quickest first. */
function waysOf(jar: Jar): Rescue[] {
  const ice = iceOf(jar);
  const later = (rescue: Rescue, minutes: number): Rescue => ({
    ...rescue,
    lastUsefulAtMs: rescue.lastUsefulAtMs && rescue.lastUsefulAtMs - 2 * minuteMs,
    crossing: {
      p10: (rescue.crossing.p10 ?? 0) + minutes * minuteMs,
      p50: (rescue.crossing.p50 ?? 0) + 1.4 * minutes * minuteMs,
      p90: (rescue.crossing.p90 ?? 0) + 2 * minutes * minuteMs,
    },
    path: rescue.path.map((point) => ({ ...point, atMs: point.atMs + minutes * minuteMs })),
  });
  return [
    ice,
    {
      ...later(ice, 5),
      kind: 'cold-water-then-ice',
      chance: 0.74,
      lastUsefulAtMs: null,
      iceKg: 1,
      waterL: 2.5,
      waterSpanMs: 10 * minuteMs,
      cautions: ['water-below-lid', 'clean-tools', 'out-before-freezing'],
    },
    {
      ...later(ice, 31),
      kind: 'split',
      chance: 0.04,
      lastUsefulAtMs: null,
      iceKg: null,
      vessels: 3,
      cautions: ['clean-jars', 'out-before-freezing'],
    },
  ];
}

/** Stirred ice three minutes from now: Newton's law towards 0.6 °C, at three speeds. */
function iceOf(jar: Jar): Rescue {
  const fromC = jar.cooling(jar.since + 3);
  const under = (perMin: number) => jar.since + 3 + Math.log((fromC - 0.6) / (limitC - 0.6)) / perMin;
  const at = (minutes: number) => startMs(jar) + Math.round(minutes * minuteMs);
  const [slow, middle, fast] = [0.075, 0.085, 0.095];
  const pathC = (perMin: number, minutes: number) => 0.6 + (fromC - 0.6) * Math.exp(-perMin * minutes);
  return {
    kind: 'ice-bath-stirred',
    lastUsefulAtMs: jar.since < 30 ? Math.floor(at(jar.since + 8) / minuteMs) * minuteMs : null,
    chance: 0.96,
    crossing: { p10: at(under(fast)), p50: at(under(middle)), p90: at(under(slow)) },
    path: Array.from({ length: 25 }, (_, step) => ({
      atMs: at(jar.since + 3 + step * 2),
      p10C: pathC(fast, step * 2),
      p50C: pathC(middle, step * 2),
      p90C: pathC(slow, step * 2),
    })),
    iceKg: 0.7,
    cautions: ['warm-glass-cracks', 'water-below-lid', 'clean-tools', 'out-before-freezing'],
  };
}

function watchOf(jar: Jar): WatchView {
  const sinceMs = startMs(jar);
  const deadline = 57;
  const crossed = whenUnder(jar, 1);
  const done = jar.state === 'made' || jar.state === 'late';
  const last = jar.cooling(jar.heard);
  return {
    v: 1,
    id: `chill-${jar.probe}-1`,
    kind: 'chill',
    probe: jar.probe,
    state: jar.state,
    sinceMs,
    window: {
      limitC,
      spanMs: 60 * minuteMs,
      originMs: sinceMs - 3 * minuteMs,
      origin: 'milking',
      deadlineMs: sinceMs + deadline * minuteMs,
    },
    latest: { atMs: sinceMs + jar.heard * minuteMs, tempC: last },
    rateCPerMin: last - jar.cooling(jar.heard - 1),
    silentSinceMs: jar.state === 'silent' ? sinceMs + jar.heard * minuteMs : null,
    crossedAtMs: done ? Math.round(sinceMs + crossed * minuteMs) : null,
    atDeadlineC: jar.since > deadline ? jar.cooling(deadline) : null,
    marginC: 0.28,
    forecast: done ? null : forecastOf(jar, deadline),
  };
}

const counts = { taken: 1200, repeats: 0, conflicts: 0, late: 0, undated: 0, refused: 0 };

const freezer = { id: 'chest-freezer', name: 'Chest freezer', kind: 'freezer' } as const;
const iceBath = { id: 'sink', name: 'Ice bath', kind: 'ice-bath' } as const;
const larderFridge = { id: 'larder', name: 'Larder fridge', kind: 'fridge' } as const;
const stove = { id: 'stove', name: 'Stove', kind: 'pot' } as const;

function probeOf(
  id: string,
  rest: Pick<ProbeView, 'name' | 'place' | 'vessel'> & { atMs: number; tempC: number; silent?: boolean },
): ProbeView {
  const { atMs, silent = false, tempC, ...named } = rest;
  return {
    v: 1,
    id,
    ...named,
    source: 'broker',
    state: silent ? 'silent' : 'heard',
    latest: { atMs, tempC, flags: 8 },
    intervalMs: 5000,
    counts,
  };
}

function probesOf(jars: readonly Jar[], larder: LarderCase): ProbeView[] {
  const jarProbes = ['jar-2', 'jar-3'].map((id) => {
    const jar = jars.find((one) => one.probe === id);
    const place = jar === undefined ? null : jar.cooling === inIceBath ? iceBath : freezer;
    return probeOf(id, {
      name: id === 'jar-2' ? 'Jar 2' : 'Jar 3',
      place,
      vessel: { name: 'Glass jar', volumeL: 0.95, material: 'glass' },
      atMs: jar === undefined ? morningMs : startMs(jar) + jar.heard * minuteMs,
      tempC: jar === undefined ? 14.2 : jar.cooling(jar.heard),
      silent: jar?.state === 'silent',
    });
  });
  return [
    ...jarProbes,
    probeOf('larder-water', {
      name: 'Larder water jar',
      place: larderFridge,
      vessel: null,
      atMs: morningMs,
      tempC: larderNowC(larder, 'larder-water'),
    }),
    probeOf('larder-air', {
      name: 'Larder air',
      place: larderFridge,
      vessel: null,
      atMs: morningMs,
      tempC: larderNowC(larder, 'larder-air'),
    }),
    probeOf('freezer-air', {
      name: 'Freezer air',
      place: freezer,
      vessel: null,
      atMs: morningMs,
      tempC: -17.6,
    }),
    probeOf('pot', { name: 'Copper pot', place: stove, vessel: null, atMs: morningMs, tempC: 19.4 }),
  ];
}

const jarsOf: Record<StateName, Jar[]> = {
  doomed: [{ probe: 'jar-2', cooling: inFreezer, since: 19, heard: 19, state: 'not-on-course' }],
  good: [{ probe: 'jar-2', cooling: inIceBath, since: 19, heard: 19, state: 'on-course' }],
  early: [{ probe: 'jar-2', cooling: inFreezer, since: 2, heard: 2, state: 'too-early' }],
  made: [{ probe: 'jar-2', cooling: inIceBath, since: 47, heard: 47, state: 'made' }],
  missed: [{ probe: 'jar-2', cooling: inFreezer, since: 65, heard: 65, state: 'missed' }],
  late: [{ probe: 'jar-2', cooling: inFreezer, since: 110, heard: 110, state: 'late' }],
  silent: [{ probe: 'jar-2', cooling: inFreezer, since: 19, heard: 13, state: 'silent' }],
  doubted: [{ probe: 'jar-2', cooling: inFreezer, since: 19, heard: 19, state: 'doubted' }],
  empty: [],
  several: [
    { probe: 'jar-2', cooling: inFreezer, since: 19, heard: 19, state: 'not-on-course' },
    { probe: 'jar-3', cooling: inIceBath, since: 24, heard: 24, state: 'on-course' },
  ],
  celsius: [{ probe: 'jar-2', cooling: inFreezer, since: 19, heard: 19, state: 'not-on-course' }],
  keeping: [],
  leaving: [],
  left: [],
  'too-cold': [],
  'by-air': [],
  'pot-climbing': [],
  'pot-heat-off': [],
  'pot-short': [],
  'pot-holding': [{ probe: 'jar-2', cooling: inIceBath, since: 19, heard: 19, state: 'on-course' }],
  'pot-begun-again': [],
  mixed: [
    { probe: 'jar-2', cooling: inFreezer, since: 19, heard: 19, state: 'not-on-course' },
    { probe: 'jar-3', cooling: inIceBath, since: 24, heard: 24, state: 'on-course' },
  ],
};

const keepsOf: Partial<Record<StateName, KeepView[]>> = {
  keeping: larderKeeps('night-cut'),
  leaving: larderKeeps('stopped'),
  left: larderKeeps('long-stopped'),
  'too-cold': larderKeeps('too-cold'),
  'by-air': larderKeeps('by-air'),
  mixed: larderKeeps('night-cut'),
};

/** The names of all states. */
export const stateNames = Object.keys(jarsOf) as StateName[];

/** Returns what the house answers in a state: its clock stands 12 s after the last reading, at `morningMs`. */
export function answersOf(name: StateName): Answers {
  const jars = jarsOf[name];
  return {
    house: {
      v: 1,
      id: 'larkfell-7k2m',
      name: 'Larkfell',
      heightM: 1420,
      zone: 'America/Denver',
      units: name === 'celsius' ? 'C' : 'F',
      simulated: true,
      places: [
        { id: 'ice-tub', name: 'Ice tub', kind: 'ice-bath' },
        { id: 'chest-freezer', name: 'Chest freezer', kind: 'freezer' },
        { id: 'larder', name: 'Larder fridge', kind: 'fridge' },
        { id: 'trough', name: 'Spring trough', kind: 'cold-water' },
      ],
      nowMs: morningMs + 12_000,
      clockKnown: true,
      recordSeq: 12,
      mirrors: [],
      disk: { historyBytes: 41_200_000, recordBytes: 1_400_000, freeBytes: 21_000_000_000 },
    },
    probes: probesOf(jars, larderOf(name)).map((probe) => withPot(probe, potOf(name))),
    watches: [...jars.map(watchOf), ...(keepsOf[name] ?? []), ...potsOf(name)],
    chills: jars.map(watchOf),
    notices: noticesOf(jars),
    historyOf: (probe, span) =>
      potCurve(name, probe, span) ??
      (keepsOf[name] === undefined ? null : larderHistory(larderOf(name), probe, span)) ??
      historyOf(jars, probe, span),
  };
}

function potOf(name: StateName): PotCase | null {
  return name.startsWith('pot-') ? (name.slice('pot-'.length) as PotCase) : null;
}

function potsOf(name: StateName): AnyWatchView[] {
  const which = potOf(name);
  return which === null ? [] : potWatches(which);
}

function potCurve(
  name: StateName,
  probe: string,
  span: { fromMs: number; toMs: number },
): HistoryView | null {
  const which = potOf(name);
  const buckets = which === null ? null : potHistory(which, probe, span);
  return buckets === null ? null : { v: 1, probe, ...span, buckets };
}

function withPot(probe: ProbeView, which: PotCase | null): ProbeView {
  if (which === null || probe.id !== 'pot' || probe.latest === null) return probe;
  const vessel = { name: 'Copper pot', volumeL: 8, material: 'copper' } as const;
  return { ...probe, vessel, latest: { ...probe.latest, tempC: potNowC(which) } };
}

function larderOf(name: StateName): LarderCase {
  if (name === 'leaving') return 'stopped';
  if (name === 'left') return 'long-stopped';
  return name === 'too-cold' || name === 'by-air' ? name : 'night-cut';
}

function noticesOf(jars: readonly Jar[]): Notice[] {
  const warned = jars.find((jar) => jar.state === 'not-on-course');
  if (warned === undefined) return [];
  return [
    {
      v: 1,
      id: `chill-${warned.probe}-1/chill-will-miss/1`,
      recordSeq: 11,
      atMs: morningMs - 7 * minuteMs,
      weight: 'warn',
      code: 'chill-will-miss',
      watch: `chill-${warned.probe}-1`,
      probe: warned.probe,
      text: 'Jar 2: under 40 °F near 8:33, 51 minutes late.',
    },
  ];
}

function historyOf(
  jars: readonly Jar[],
  probe: string,
  { fromMs, points, toMs }: { fromMs: number; toMs: number; points: number },
): HistoryView {
  const jar = jars.find((one) => one.probe === probe);
  const bucketMs = Math.max(1000, Math.ceil((toMs - fromMs) / points));
  const buckets: HistoryView['buckets'] = [];
  if (jar !== undefined) {
    const lastMs = startMs(jar) + jar.heard * minuteMs;
    for (let atMs = Math.max(fromMs, startMs(jar)); atMs + bucketMs <= lastMs; atMs += bucketMs) {
      const meanC = jar.cooling((atMs + bucketMs / 2 - startMs(jar)) / minuteMs);
      buckets.push({ fromMs: atMs, toMs: atMs + bucketMs, minC: meanC, maxC: meanC, meanC, count: 1 });
    }
  }
  return { v: 1, probe, fromMs, toMs, buckets };
}
