/** What came of it: alarms in quiet days, and how early and how rightly faults were named. */
import type { Happening, HappeningOf } from '../../../shared/contract/event.ts';
import { openDice } from '../everyday/dice.ts';
import { type Fault, type ProbeIn, playHouse } from './house.ts';
import { watchHouse } from './watch-house.ts';

export type Quiet = {
  alarms: number;
  warnings: number;
  opened: number;
  doors: number;
  µsAReading: number;
  stateBytes: number;
  milkMostC: number;
  why: string[];
};

export function scoreQuiet({ seed, days, probeIn }: { seed: number; days: number; probeIn: ProbeIn }): Quiet {
  const house = playHouse({ seed, days, fault: 'none', faultDay: 0, probeIn, doorsADay: 20 });
  const { events, readings, spentMs, stateBytesMost } = watchHouse(house, { probeIn, withFreezer: true });
  const spoken = events.filter((event) => 'weight' in event.body && event.body.weight !== 'tell');
  const dayOf = (event: Happening) => ((event.atMs - (house.readings[0]?.atMs ?? 0)) / 86_400_000).toFixed(2);
  return {
    alarms: spoken.filter(({ body }) => 'weight' in body && body.weight === 'alarm').length,
    warnings: spoken.length,
    opened: events.filter((event) => event.kind === 'watch-opened').length,
    doors: events.filter((event) => event.kind === 'keep-noted' && event.body.note.cause === 'door-open')
      .length,
    µsAReading: (1000 * spentMs) / readings,
    stateBytes: stateBytesMost,
    milkMostC: house.milkMostC,
    why: [
      `quiet ${seed} (${house.make}): milk ${house.milkMeanC.toFixed(2)} most ${house.milkMostC.toFixed(2)}; ${countNotes(events)}`,
      ...spoken.map(
        (event) =>
          `  day ${dayOf(event)} ${event.kind} ${'cause' in event.body ? event.body.cause : ''} ${'milk' in event.body ? event.body.milk.p50.toFixed(2) : ''}`,
      ),
    ],
  };
}

export type Faulty = {
  fault: Fault;
  left: boolean;
  spanMin: number;
  warnedMin: number | null;
  namedMin: number | null;
  errorMin: number | null;
  inBand: boolean | null;
  early: number;
  why: string;
};

/** Names that are right for a fault: power and compressor are one until a second place has warmed for too long. */
const rightly: Record<Exclude<Fault, 'none'>, readonly string[]> = {
  compressor: ['cooling-stopped'],
  power: ['power-off', 'cooling-stopped'],
  ajar: ['door-ajar'],
  failing: ['failing'],
};

export function scoreFault({
  seed,
  fault,
  probeIn,
}: {
  seed: number;
  fault: Exclude<Fault, 'none'>;
  probeIn: ProbeIn;
}): Faulty {
  const dice = openDice(seed + 5);
  const faultDay = 4 + dice.next();
  const house = playHouse({
    seed,
    days: faultDay + (fault === 'failing' ? 5 : 1.5),
    fault,
    faultDay,
    probeIn,
    doorsADay: 20,
  });
  const { events } = watchHouse(house, { probeIn, withFreezer: true });
  const faultMs = house.faultMs as number;
  const said = events.filter(
    (event): event is HappeningOf<'keep-will-leave'> =>
      event.kind === 'keep-will-leave' && event.about.probe?.[0] === 'fridge',
  );
  const earlyWhy = said
    .filter(({ atMs }) => atMs < faultMs)
    .map(({ body, atMs }) => `${body.cause}@${((atMs - faultMs) / 3_600_000).toFixed(1)}h`);
  const after = said.filter(({ atMs }) => atMs >= faultMs);
  const first = after[0];
  // Where the milk was over the limit before the fault it is not the fault that took it out.
  const wasWarm = house.overBeforeMs !== null && house.overBeforeMs > faultMs - 86_400_000;
  const left = wasWarm ? null : house.leftMs;
  const named = after.find(({ body }) => rightly[fault].includes(body.cause));
  const before = (event: Happening | undefined) =>
    event === undefined || left === null ? null : (left - event.atMs) / 60_000;
  const told = first?.body.crossing ?? null;
  const errorMin = told?.p50 == null || left === null ? null : (told.p50 - left) / 60_000;
  const inBand =
    told?.p10 == null || left === null
      ? null
      : told.p10 <= left && left <= (told.p90 ?? Number.POSITIVE_INFINITY);
  const result = {
    fault,
    left: left !== null,
    spanMin: left === null ? 0 : (left - faultMs) / 60_000,
    warnedMin: before(first),
    namedMin: before(named),
    errorMin,
    inBand,
    early: said.length - after.length,
  };
  const show = (value: number | null) => (value === null ? '-' : value.toFixed(0));
  const hour = ((faultMs / 3_600_000) % 24).toFixed(1);
  const why = `${fault} ${seed} (${house.make}) at ${hour}h: ${wasWarm ? 'warm before' : left === null ? 'never left' : `left after ${show(result.spanMin)}`}; warned ${show(result.warnedMin)} named ${show(result.namedMin)} before; ${after.map(({ body, atMs }) => `${body.cause}+${show((atMs - faultMs) / 60_000)}`).join(' ')}; error ${show(errorMin)}; ${result.early} early ${earlyWhy.join(' ')}; milk ${house.milkMostC.toFixed(1)}`;
  return { ...result, why };
}

/** The figures of a run. */
export function summary({ quiet, faults }: { quiet: Quiet[]; faults: Faulty[] }) {
  const of = (list: Faulty[]) => {
    const gone = list.filter(({ left }) => left);
    // Where the milk passes the limit sooner than this, nobody can know half an hour before.
    const can = gone.filter(({ spanMin }) => spanMin >= 40);
    const share = (count: number, all: number) =>
      all === 0 ? null : Math.round((1000 * count) / all) / 1000;
    const errors = gone
      .flatMap(({ errorMin }) => (errorMin === null ? [] : [Math.abs(errorMin)]))
      .sort((a, b) => a - b);
    return {
      runs: list.length,
      left: gone.length,
      warned30: share(gone.filter(({ warnedMin }) => (warnedMin ?? 0) >= 30).length, gone.length),
      named30: share(gone.filter(({ namedMin }) => (namedMin ?? 0) >= 30).length, gone.length),
      named30WhereItCan: share(can.filter(({ namedMin }) => (namedMin ?? 0) >= 30).length, can.length),
      errorMedianMin:
        errors.length === 0 ? null : Math.round(errors[Math.floor(errors.length / 2)] as number),
      band: share(
        gone.filter(({ inBand }) => inBand === true).length,
        gone.filter(({ inBand }) => inBand !== null).length,
      ),
      falseBefore: list.reduce((sum, { early }) => sum + early, 0),
    };
  };
  const sum = (pick: (one: Quiet) => number) => quiet.reduce((total, one) => total + pick(one), 0);
  return {
    quiet: {
      fridges: quiet.length,
      alarms: sum(({ alarms }) => alarms),
      warnings: sum(({ warnings }) => warnings),
      doors: sum(({ doors }) => doors),
      µsAReading: Math.round(10 * Math.max(...quiet.map((one) => one.µsAReading))) / 10,
      stateBytes: Math.max(...quiet.map((one) => one.stateBytes)),
    },
    all: of(faults),
    compressor: of(faults.filter(({ fault }) => fault === 'compressor')),
    power: of(faults.filter(({ fault }) => fault === 'power')),
    ajar: of(faults.filter(({ fault }) => fault === 'ajar')),
    failing: of(faults.filter(({ fault }) => fault === 'failing')),
  };
}

function countNotes(events: readonly Happening[]): string {
  const counts = new Map<string, number>();
  for (const event of events) {
    if (event.kind !== 'keep-noted' || event.about.probe?.[0] !== 'fridge') continue;
    counts.set(event.body.note.cause, (counts.get(event.body.note.cause) ?? 0) + 1);
  }
  return [...counts].map(([cause, count]) => `${cause} ${count}`).join(', ');
}
