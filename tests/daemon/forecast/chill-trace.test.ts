import { expect, test } from 'vitest';
import {
  type ChillTrace,
  feedChill,
  openChillTrace,
  tracePoints,
} from '../../../daemon/forecast/chill-trace.ts';

const startMs = Date.UTC(2025, 5, 1, 5, 30, 7);
const readings = Array.from({ length: 900 }, (_, place) => ({
  atMs: startMs + place * 1000,
  tempC: 35 - place / 100 + ((place * 7919) % 13) / 100,
}));

function traceOf(list: readonly { atMs: number; tempC: number; around?: boolean }[]): ChillTrace {
  return list.reduce(feedChill, openChillTrace('seed'));
}

test('holds the same bins whatever the order of the readings', () => {
  const shuffled = readings.map((reading, place) => ({ reading, key: (place * 7919) % 900 }));
  shuffled.sort((a, b) => a.key - b.key);
  const first = readings[0] as { atMs: number; tempC: number };
  const rest = shuffled.map(({ reading }) => reading).filter((reading) => reading !== first);
  expect(traceOf([first, ...rest])).toEqual(traceOf(readings));
});

test('stays under 16 KB through two days of readings each second, with surroundings', () => {
  let trace = openChillTrace('chill-jar-1');
  for (let atS = 0; atS < 172_800; atS += 1) {
    trace = feedChill(trace, { atMs: startMs + atS * 1000, tempC: 20.123 + Math.sin(atS / 500) });
    if (atS % 10 === 0) trace = feedChill(trace, { atMs: startMs + atS * 1000, tempC: -17.5, around: true });
  }
  expect(JSON.stringify(trace).length).toBeLessThan(16_384);
});

test('comes back from JSON as it was', () => {
  const trace = traceOf(readings);
  expect(JSON.parse(JSON.stringify(trace))).toEqual(trace);
});

test('leaves out what is no temperature of milk, and what came an hour early', () => {
  const trace = traceOf(readings);
  const before = structuredClone(trace);
  for (const tempC of [Number.NaN, -127, 850, Number.POSITIVE_INFINITY]) {
    feedChill(trace, { atMs: startMs, tempC });
  }
  feedChill(trace, { atMs: startMs - 4_000_000, tempC: 20 });
  expect(trace).toEqual(before);
});

test('gives only points of bins that end by the asked instant', () => {
  const trace = traceOf(readings);
  const toMs = startMs + 300_500;
  const points = tracePoints(trace, { fromMs: startMs, toMs, sinceMs: startMs });
  const last = points[points.length - 1];
  expect(last?.tMin).toBeLessThanOrEqual(5.01);
  expect(last?.tMin).toBeGreaterThan(4.75);
});

test('lets one wild reading in a bin do nothing', () => {
  const wild = traceOf([...readings, { atMs: startMs + 305_400, tempC: 85 }]);
  const points = tracePoints(wild, { fromMs: startMs, toMs: startMs + 900_000, sinceMs: startMs });
  expect(Math.max(...points.map(({ tempC }) => tempC))).toBeLessThan(35.2);
});
