import { expect, test } from 'vitest';
import {
  type ChillQuestion,
  type ChillTrace,
  feedChill,
  forecastChill,
  openChillTrace,
} from '../../../daemon/forecast/chill-forecast.ts';
import { pathPointsMax } from '../../../shared/contract/forecast.ts';

const minute = 60_000;
const startMs = 1_750_000_000_000;
const question: ChillQuestion = {
  limitC: 40 / 9,
  marginC: 0,
  deadlineMs: startMs + 60 * minute,
  sinceMs: startMs,
  told: { place: null, aroundC: null, volumeL: null, material: null },
};
const freezer = { place: 'freezer', aroundC: null, volumeL: 0.95, material: 'glass' } as const;

/** A jar cooling by Newton's law after two minutes on the bench, read each five seconds. */
function jar(of: { aroundC: number; tauMin: number; minutes: number; toC?: number }): ChillTrace {
  let trace = openChillTrace('test');
  for (let atS = 0; atS <= of.minutes * 60; atS += 5) {
    const spanMin = Math.max(0, atS / 60 - 2);
    const tempC = of.aroundC + (35 - of.aroundC) * Math.exp(-spanMin / of.tauMin);
    trace = feedChill(trace, { atMs: startMs + atS * 1000, tempC: Math.round(tempC * 16) / 16 });
  }
  return trace;
}

test('says of a jar in ice that it makes it and of one in a fridge that it does not', () => {
  const ice = forecastChill(jar({ aroundC: 0.5, tauMin: 12, minutes: 15 }), question, startMs + 15 * minute);
  const fridge = forecastChill(
    jar({ aroundC: 4, tauMin: 100, minutes: 15 }),
    question,
    startMs + 15 * minute,
  );
  expect(ice?.chance).toBeGreaterThan(0.8);
  expect(fridge?.chance).toBeLessThan(0.05);
});

test('finds the crossing of a told freezer jar within four minutes at minute 25', () => {
  const trace = jar({ aroundC: -18, tauMin: 60, minutes: 25 });
  const outlook = forecastChill(trace, { ...question, told: freezer }, startMs + 25 * minute);
  const trueMs = startMs + (2 + 60 * Math.log(53 / (18 + 40 / 9))) * minute;
  expect(Math.abs((outlook?.crossing.p50 ?? 0) - trueMs)).toBeLessThan(4 * minute);
});

test('keeps quantiles in order, the path short and the milk above its freezing point', () => {
  const trace = jar({ aroundC: -20, tauMin: 30, minutes: 20 });
  const outlook = forecastChill(trace, { ...question, told: freezer }, startMs + 20 * minute);
  const path = outlook?.path ?? [];
  expect(path.length).toBeLessThanOrEqual(pathPointsMax);
  expect(path[0]?.atMs).toBe(outlook?.dataToMs);
  for (const { p10C, p50C, p90C } of path) {
    expect(p10C <= p50C && p50C <= p90C).toBe(true);
    expect(p10C).toBeGreaterThanOrEqual(-0.54);
  }
  const { p10, p50, p90 } = outlook?.crossing ?? { p10: null, p50: null, p90: null };
  expect(p10 !== null && p50 !== null && p90 !== null && p10 <= p50 && p50 <= p90).toBe(true);
  expect(outlook?.freezing.p50).toBeGreaterThan(p50 ?? 0);
});

test('gives the same answer twice, and after a way through JSON', () => {
  const trace = jar({ aroundC: -18, tauMin: 60, minutes: 18 });
  const first = forecastChill(trace, question, startMs + 18 * minute);
  const again = forecastChill(JSON.parse(JSON.stringify(trace)), question, startMs + 18 * minute);
  expect(again).toEqual(first);
});

test('uses nothing after the asked instant', () => {
  const atMs = startMs + 15 * minute;
  const cold = jar({ aroundC: -18, tauMin: 60, minutes: 14 });
  const warm = structuredClone(cold);
  for (let atS = 901; atS < 1800; atS += 5) {
    feedChill(cold, { atMs: startMs + atS * 1000, tempC: 3 });
    feedChill(warm, { atMs: startMs + atS * 1000, tempC: 40 });
  }
  expect(forecastChill(cold, question, atMs)).toEqual(forecastChill(warm, question, atMs));
});

test('says nothing before two minutes of readings', () => {
  const trace = jar({ aroundC: -18, tauMin: 60, minutes: 1.5 });
  expect(forecastChill(trace, question, startMs + 1.5 * minute)).toBeNull();
  expect(forecastChill(openChillTrace('none'), question, startMs)).toBeNull();
});

test('is sure of a crossing that was seen, and of a deadline that has passed', () => {
  const trace = jar({ aroundC: 0, tauMin: 15, minutes: 45 });
  const outlook = forecastChill(trace, question, startMs + 45 * minute);
  const trueMs = startMs + (2 + 15 * Math.log(35 / (40 / 9))) * minute;
  expect(outlook?.chance).toBe(1);
  expect(Math.abs((outlook?.crossing.p10 ?? 0) - trueMs)).toBeLessThan(minute / 2);
  const late = { ...question, deadlineMs: startMs + 10 * minute };
  const missed = forecastChill(jar({ aroundC: 0, tauMin: 15, minutes: 20 }), late, startMs + 20 * minute);
  expect([missed?.chance, missed?.atDeadline]).toEqual([0, null]);
});

test('asks more of a jar where the margin is wider', () => {
  const trace = jar({ aroundC: 0, tauMin: 22, minutes: 20 });
  const sure = forecastChill(trace, { ...question, marginC: 1 }, startMs + 20 * minute);
  const bare = forecastChill(trace, question, startMs + 20 * minute);
  expect(sure?.chance).toBeLessThan(bare?.chance ?? 0);
  expect(sure?.crossing).toEqual(bare?.crossing);
});

test('says where it has the surroundings from', () => {
  let trace = jar({ aroundC: -18, tauMin: 60, minutes: 12 });
  const atMs = startMs + 12 * minute;
  expect(forecastChill(trace, question, atMs)?.assumed.from).toBe('inferred');
  expect(forecastChill(trace, { ...question, told: freezer }, atMs)?.assumed.from).toBe('told');
  for (let place = 0; place < 12; place++) {
    trace = feedChill(trace, { atMs: startMs + place * minute, tempC: -18, around: true });
  }
  const measured = forecastChill(trace, question, atMs)?.assumed;
  expect(measured?.from).toBe('measured');
  expect(measured?.aroundC).toBeCloseTo(-18, 6);
});

test('bears gaps, coarse steps and wild readings', () => {
  let trace = openChillTrace('rough');
  for (let atS = 0; atS <= 1500; atS += 10) {
    if (atS > 600 && atS < 960) continue;
    const tempC = -16 + 51 * Math.exp(-Math.max(0, atS / 60 - 2) / 70);
    trace = feedChill(trace, { atMs: startMs + atS * 1000, tempC: Math.round(tempC * 2) / 2 });
    if (atS % 300 === 0) trace = feedChill(trace, { atMs: startMs + atS * 1000 + 1, tempC: 85 });
  }
  const outlook = forecastChill(trace, { ...question, told: freezer }, startMs + 25 * minute);
  const trueMs = startMs + (2 + 70 * Math.log(51 / (16 + 40 / 9))) * minute;
  expect(Math.abs((outlook?.crossing.p50 ?? 0) - trueMs)).toBeLessThan(10 * minute);
});
