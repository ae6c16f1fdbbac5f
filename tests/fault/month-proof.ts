/**
 * The month: a fridge and a freezer with doors, warm loads and defrosts, and a jar probe that is rinsed, hangs
 * in the air, goes into milk each morning and fades in a metal box; one jar a week is doomed, in the very
 * set-up that made it the day before. What people are told is held against the truth.
 */
import type { MannersRules, Receiver } from '../../daemon/notify/manners/rules.ts';
import { type Draft, openManners } from '../../daemon/notify/manners/state.ts';
import { stepManners, wakeAtMs } from '../../daemon/notify/manners/step.ts';
import { advance, drive } from '../../daemon/watch/drive.ts';
import type { WatchRules } from '../../daemon/watch/rules.ts';
import { openWatching } from '../../daemon/watch/step.ts';
import { openRandom } from '../../probes/simulated/random.ts';
import type { Happening, RecordEvent } from '../../shared/contract/event.ts';
import { type ProbeIn, playHouse } from '../skill/keep/house.ts';

export type MonthReport = {
  proof: 'month';
  variant: 'usual' | 'deaf';
  seed: number;
  days: number;
  readings: number;
  doomed: number;
  /** Doomed jars that a warning was sent of by two ways while their hour ran. */
  warnedOnTwoWays: number;
  unneededWarns: number;
  unneededAlarms: number;
  /** The codes of what was not needed, with how often. */
  unneeded: Record<string, number>;
  /** Warnings of the fridge whose milk then truly went over its limit, and for how many hours of the month it did. */
  neededOfTheFridge: number;
  hoursOver: number;
  /** The warmest that the fridge's milk truly was, °C; its limit is 4.44. */
  milkMostC: number;
  letters: number;
  spanMs: number;
};

const dayMs = 86_400_000;
const minuteMs = 60_000;
/** When milking ends each morning, after midnight UTC. */
const milkingMs = (6 * 60 + 42) * minuteMs;
const chillEveryMs = 10_000;

type Reading = { probe: string; atMs: number; tempC: number };

/** Plays and judges a month; `deaf` is the control in which nobody wants to hear of warnings. */
export function proveMonth(o: {
  seed: number;
  days: number;
  deaf?: boolean;
  /** Where the fridge's probe hangs: in its air, or in a jar of water. */
  probeIn?: ProbeIn;
}): MonthReport {
  const fromMs = performance.now();
  const probeIn = o.probeIn ?? 'air';
  const cold = playHouse({
    seed: o.seed,
    days: o.days,
    fault: 'none',
    faultDay: 1,
    probeIn,
    doorsADay: 25,
  });
  const startMs = Math.ceil((cold.readings[0]?.atMs ?? 0) / dayMs) * dayMs;
  const jars = playJars({ ...o, startMs });
  const readings = [...cold.readings, ...jars.readings].sort((a, b) => a.atMs - b.atMs);
  const events = watch(readings, { volumeL: cold.volumeL, probeIn });
  const letters = tell(events, o.deaf === true ? 'alarm' : 'tell');
  const warned = jars.doomed.filter(
    ({ fromMs: inMs, toMs }) =>
      new Set(
        letters
          .filter(
            ({ weight, madeAtMs, seqs }) =>
              weight === 'warn' &&
              madeAtMs >= inMs &&
              madeAtMs <= toMs &&
              seqs.some((seq) => events[seq - 1]?.about.probe?.includes('jar')),
          )
          .map(({ way }) => way),
      ).size >= 2,
  );
  const needless = events.filter(
    ({ kind, atMs, body, about }) =>
      'weight' in body &&
      body.weight !== 'tell' &&
      !(kind.startsWith('keep-') && about.probe?.includes('fridge') && leavesSoon(atMs, cold.overSpans)) &&
      !(
        about.probe?.includes('jar') &&
        jars.doomed.some(({ fromMs: inMs, toMs }) => atMs >= inMs && atMs <= toMs)
      ),
  );
  const unneeded: Record<string, number> = {};
  for (const { kind, about, body } of needless) {
    const why = 'cause' in body ? `, ${body.side}, ${body.cause}` : '';
    const key = `${kind} of ${about.probe?.[0] ?? 'the house'}${why}`;
    unneeded[key] = (unneeded[key] ?? 0) + 1;
  }
  const needed = events.filter(
    ({ kind, atMs, body, about }) =>
      'weight' in body &&
      body.weight !== 'tell' &&
      kind.startsWith('keep-') &&
      about.probe?.includes('fridge') &&
      leavesSoon(atMs, cold.overSpans),
  ).length;
  const ofWeight = (weight: string) =>
    needless.filter(({ body }) => 'weight' in body && body.weight === weight).length;
  return {
    proof: 'month',
    variant: o.deaf === true ? 'deaf' : 'usual',
    seed: o.seed,
    days: o.days,
    readings: readings.length,
    doomed: jars.doomed.length,
    warnedOnTwoWays: warned.length,
    unneededWarns: ofWeight('warn'),
    unneededAlarms: ofWeight('alarm'),
    unneeded,
    neededOfTheFridge: needed,
    hoursOver: Math.round(cold.overSpans.reduce((sum, [from, to]) => sum + to - from, 0) / 360_000) / 10,
    milkMostC: Number(cold.milkMostC.toFixed(2)),
    letters: letters.length,
    spanMs: Math.round(performance.now() - fromMs),
  };
}

/** How far ahead a warning of a fridge speaks. */
const aheadMs = 6 * 3_600_000;

/** True where the milk truly is over its limit, or will be within what a warning looks ahead. */
function leavesSoon(atMs: number, spans: readonly [number, number][]): boolean {
  return spans.some(([fromMs, toMs]) => fromMs <= atMs + aheadMs && toMs >= atMs);
}

/** The jar probe's days: at rest in the kitchen, rinsed, in the morning's milk for 75 minutes, dry again. */
function playJars({ seed, days, startMs }: { seed: number; days: number; startMs: number }) {
  const random = openRandom(seed, 'month of jars');
  const readings: Reading[] = [];
  const doomed: { fromMs: number; toMs: number }[] = [];
  let probeC = 19;
  for (let day = 0; day < days - 1; day++) {
    const isDoomed = day % 7 === 6;
    const inMs = startMs + day * dayMs + milkingMs + Math.floor(random.uniform() * 20) * minuteMs;
    const outMs = inMs + 75 * minuteMs;
    if (isDoomed) doomed.push({ fromMs: inMs, toMs: outMs });
    const rinse = {
      fromMs: inMs - 25 * minuteMs,
      toMs: inMs - 24 * minuteMs,
      tempC: 38 + 8 * random.uniform(),
    };
    const wash = {
      fromMs: outMs + 5 * minuteMs,
      toMs: outMs + 7 * minuteMs,
      tempC: 45 + 10 * random.uniform(),
    };
    // A chest freezer's lid is metal: in some mornings nothing is heard for minutes.
    const gapMs =
      random.uniform() < 0.4 ? inMs + (3 + 20 * random.uniform()) * minuteMs : Number.POSITIVE_INFINITY;
    const tauMin = isDoomed ? 55 + 10 * random.uniform() : 11 + 3 * random.uniform();
    const aroundC = isDoomed ? -2 : 0.2;
    const milkC = 34 + 2 * random.uniform();
    // Read often while in use, once a minute at rest, as a sensor on a battery does.
    for (let atMs = startMs + day * dayMs; atMs < startMs + (day + 1) * dayMs; atMs += chillEveryMs) {
      const inMilk = atMs >= inMs && atMs < outMs;
      const roomC = 18 + 2 * Math.sin((2 * Math.PI * (atMs - startMs)) / dayMs);
      const water = [rinse, wash].find(({ fromMs, toMs }) => atMs >= fromMs && atMs < toMs);
      const mediumC = inMilk
        ? aroundC + (milkC - aroundC) * Math.exp(-(atMs - inMs) / minuteMs / tauMin)
        : (water?.tempC ?? roomC);
      const lagS = inMilk || water !== undefined ? 12 : 90;
      probeC += (mediumC - probeC) * (1 - Math.exp(-chillEveryMs / 1000 / lagS));
      if (atMs >= gapMs && atMs < gapMs + 4 * minuteMs) continue;
      readings.push({ probe: 'jar', atMs, tempC: Math.round((probeC + 0.04 * random.gaussian()) * 16) / 16 });
    }
  }
  return { readings, doomed };
}

function watch(
  readings: readonly Reading[],
  { volumeL, probeIn }: { volumeL: number; probeIn: ProbeIn },
): Happening[] {
  const probe = (place: string | null, measures: string | null, litres: number | null) => ({
    place,
    measures,
    volumeL: litres,
    material: null,
    uncertaintyC: 0.5,
  });
  const rules: WatchRules = {
    chill: { limitC: 40 / 9, spanMs: 3_600_000, guarded: true },
    places: {
      fridge: { kind: 'fridge', aroundC: null },
      freezer: { kind: 'freezer', aroundC: null },
      tub: { kind: 'ice-bath', aroundC: 0 },
    },
    probes: {
      fridge: probeIn === 'jar' ? probe('fridge', null, volumeL) : probe(null, 'fridge', null),
      freezer: probe(null, 'freezer', null),
      jar: probe('tub', null, 0.95),
    },
    startsByItself: true,
  };
  const watching = openWatching();
  const events: Happening[] = [];
  let inputSeq = 0;
  for (const reading of readings) {
    inputSeq += 1;
    const input = {
      inputSeq,
      receivedMs: reading.atMs,
      kind: 'reading',
      reading: { ...reading, flags: 0 },
    } as const;
    events.push(...drive(watching, input, rules));
  }
  events.push(...advance(watching, (readings.at(-1)?.atMs ?? 0) + 1_000, rules));
  return events;
}

/** Passes the events through the manners of one person with three ways, and returns every letter. */
function tell(events: readonly Happening[], from: Receiver['from']): Draft[] {
  const milker: Receiver = {
    id: 'milker',
    name: 'Milker',
    language: 'en',
    units: 'F',
    zone: 'UTC',
    ways: ['bell', 'mail', 'page'],
    from,
    afterMs: 0,
    quiet: { fromMin: 21 * 60, toMin: 5 * 60, wake: 'alarm' },
    digestMin: 6 * 60,
  };
  const rules: MannersRules = { receivers: [milker], region: 'household' };
  const state = openManners();
  const letters: Draft[] = [];
  for (const [index, event] of events.entries()) {
    for (let wakeMs = wakeAtMs(state); wakeMs !== null && wakeMs <= event.atMs; wakeMs = wakeAtMs(state)) {
      letters.push(...stepManners(state, { kind: 'tick', nowMs: wakeMs }, rules).letters);
    }
    const kept = { ...event, v: 1, recordSeq: index + 1, prev: '', hash: '' } as RecordEvent;
    letters.push(...stepManners(state, { kind: 'events', events: [kept], nowMs: event.atMs }, rules).letters);
  }
  return letters;
}
