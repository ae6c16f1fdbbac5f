/**
 * What the chill forecast costs: a reading on its way through the watch, an update, the opening of a watch on an
 * hour of readings, and what is kept of it.
 */
import { performance } from 'node:perf_hooks';
import {
  type ChillQuestion,
  type ChillTrace,
  feedChill,
  forecastChill,
  openChillTrace,
  outlookOf,
} from '../../daemon/forecast/chill-forecast.ts';
import { type ChillView, viewChill } from '../../daemon/forecast/chill-view.ts';
import { waysOut } from '../../daemon/forecast/ways-out.ts';
import { drive } from '../../daemon/watch/drive.ts';
import type { WatchRules } from '../../daemon/watch/rules.ts';
import { openWatching } from '../../daemon/watch/step.ts';
import type { Input } from '../../shared/contract/input.ts';
import { nothingTold } from '../../shared/dairy/at-hand.ts';
import { type Bench, type BenchSize, type Figure, rounded } from './figure.ts';

const jars: Record<BenchSize, number> = { small: 2, full: 20 };
const limitC = 40 / 9;
const hourS = 3600;
const traceBytesMax = 16_384;

export const forecastBench: Bench = async (size, tell) => {
  const told: string[] = [];
  const say = (figure: string, value: number, unit: string, bound?: number) => {
    tell(figureOf(figure, value, unit, bound));
    told.push(figure);
  };
  watchJars(jars[size]);
  const watched = watchJars(jars[size]);
  say('a reading through the watch, mean', watched.meanMs, 'ms', 0.1);
  say('a reading or tick through the watch, longest', watched.longestMs, 'ms', 10);
  say('readings a second, one probe each second', 1000 / watched.meanMs, '1/s');
  const updates = timeUpdates(jars[size]);
  say('an update of the forecast, median', updates.forecastMs, 'ms');
  say('an update with all its ways out, median', updates.bothMs, 'ms');
  say('an update with all its ways out, longest', updates.longestMs, 'ms', 10);
  say('opening a watch on an hour of readings, median', updates.openMs, 'ms', 10);
  const kept = JSON.stringify(traceOf(20 * hourS, 0));
  say('what is kept of a chill of 20 h', Buffer.byteLength(kept), 'bytes', traceBytesMax);
  say('memory held by a thousand chills', memoryOf(1000), 'MB');
  return `${told.length} figures, ${watched.events} events`;
};

function figureOf(figure: string, value: number, unit: string, bound?: number): Figure {
  const ratio = bound === undefined ? null : rounded(value / bound);
  const versus = bound === undefined ? null : `bound of ${bound} ${unit}`;
  return { bench: 'forecast', figure, value: rounded(value), unit, versus, ratio };
}

/** A jar from 35 °C towards -16 °C, with the noise of a usual probe; `jar` tells its speed and noise apart. */
function coolingC(atS: number, jar: number): number {
  const perMin = 0.012 + 0.004 * (jar % 7);
  const noiseC = 0.06 * Math.sin(12.9898 * (atS + 1) + 78.233 * jar);
  return Math.round((-16 + 51 * Math.exp((-perMin * atS) / 60) + noiseC) / 0.0625) * 0.0625;
}

const question: ChillQuestion = {
  limitC,
  marginC: 0,
  deadlineMs: hourS * 1000,
  sinceMs: 0,
  told: { place: 'freezer', aroundC: null, volumeL: 0.95, material: 'glass' },
  atHand: { ...nothingTold, fan: true },
};

function traceOf(forS: number, jar: number): ChillTrace {
  let trace = openChillTrace(`jar-${jar}`);
  for (let atS = 0; atS <= forS; atS++)
    trace = feedChill(trace, { atMs: atS * 1000, tempC: coolingC(atS, jar) });
  return trace;
}

const rules: WatchRules = {
  chill: { limitC, spanMs: hourS * 1000, guarded: true },
  places: { chest: { kind: 'freezer', aroundC: null } },
  probes: { jar: { place: 'chest', volumeL: 0.95, material: 'glass', uncertaintyC: 0.3, measures: null } },
  atHand: { ...nothingTold, fan: true },
  startsByItself: false,
};

/** Each jar from its word to an hour later, through the watching as it runs live. */
function watchJars(count: number): { meanMs: number; longestMs: number; events: number } {
  const took: number[] = [];
  let events = 0;
  // The first jar warms the engine up and does not count.
  for (let jar = -1; jar < count; jar++) {
    const state = openWatching();
    let inputSeq = 0;
    const feed = (input: Input) => {
      const from = performance.now();
      events += drive(state, input, rules).length;
      if (jar >= 0) took.push(performance.now() - from);
    };
    const word = { kind: 'chill-begin', probe: 'jar' } as const;
    feed({ inputSeq: ++inputSeq, receivedMs: 0, kind: 'word', wordId: 'begin', by: 'house', word });
    for (let atS = 1; atS <= hourS; atS++) {
      const reading = { probe: 'jar', atMs: atS * 1000, tempC: coolingC(atS, jar), flags: 0 };
      feed({ inputSeq: ++inputSeq, receivedMs: atS * 1000, kind: 'reading', reading });
    }
  }
  took.sort((a, b) => a - b);
  return {
    meanMs: took.reduce((sum, ms) => sum + ms, 0) / took.length,
    // What the machine itself does between two inputs is not ours: one in ten thousand is left out.
    longestMs: took[Math.floor(0.9999 * (took.length - 1))] as number,
    events,
  };
}

function timeUpdates(count: number): {
  forecastMs: number;
  bothMs: number;
  longestMs: number;
  openMs: number;
} {
  const forecasts: number[] = [];
  const both: number[] = [];
  const opened: number[] = [];
  for (let jar = -1; jar < count; jar++) {
    const trace = traceOf(1200, jar);
    for (let atMin = 10; atMin <= 20; atMin++) {
      const atMs = atMin * 60_000;
      const from = performance.now();
      const view = viewChill(trace, question, atMs) as ChillView;
      const { chance } = outlookOf(view, question);
      const middle = performance.now();
      waysOut(view, question, { atMs, chance });
      if (jar < 0) continue;
      forecasts.push(middle - from);
      both.push(performance.now() - from);
    }
    const from = performance.now();
    forecastChill(traceOf(hourS, jar), question, hourS * 1000);
    if (jar >= 0) opened.push(performance.now() - from);
  }
  return {
    forecastMs: median(forecasts),
    bothMs: median(both),
    longestMs: both.sort((a, b) => a - b)[Math.floor(0.99 * (both.length - 1))] as number,
    openMs: median(opened),
  };
}

function memoryOf(count: number): number {
  const one = traceOf(hourS, 1);
  const before = process.memoryUsage().heapUsed;
  const kept = Array.from({ length: count }, () => structuredClone(one));
  const held = process.memoryUsage().heapUsed - before;
  return kept.length > 0 ? held / 1e6 : 0;
}

function median(values: number[]): number {
  values.sort((a, b) => a - b);
  return values[values.length >> 1] as number;
}
