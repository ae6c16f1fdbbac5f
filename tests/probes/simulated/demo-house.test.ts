import { describe, expect, it } from 'vitest';
import {
  callSpanMax,
  catchUpMax,
  type DemoReading,
  demoPastMs,
  makeDemoHouse,
  readingsMax,
} from '../../../probes/simulated/demo-house.ts';
import { larkfell } from '../../../probes/simulated/larkfell.ts';

const startMs = Date.parse('2026-03-03T06:30:00Z');
const minuteMs = 60_000;
/** 40 °F. */
const limitC = 40 / 1.8 - 32 / 1.8;

/** All readings of a seed up to some minutes after the start, heard as a publisher hears them. */
function hear(seed: number, minutes: number): DemoReading[] {
  const demo = makeDemoHouse({ seed, startMs });
  const readings: DemoReading[] = [];
  for (let minute = 0; minute <= minutes; minute += 10) {
    const atMs = startMs + minute * minuteMs;
    for (let more = demo.readingsUntil(atMs); more.length > 0; more = demo.readingsUntil(atMs))
      readings.push(...more);
  }
  return readings;
}

const ofProbe = (readings: readonly DemoReading[], probe: string) =>
  readings.filter((reading) => reading.probe === probe);

/** Minutes from the probe's insertion to the first reading at the limit, for each round. */
function chillMinutes(readings: readonly DemoReading[]): (number | null)[] {
  const rounds: (number | null)[] = [];
  let sinceMs: number | null = null;
  let isOut = true;
  for (const { atMs, tempC } of readings) {
    if (isOut && tempC > 30) {
      isOut = false;
      sinceMs = atMs;
      rounds.push(null);
    }
    if (sinceMs !== null && tempC <= limitC) {
      rounds[rounds.length - 1] = (atMs - sinceMs) / minuteMs;
      sinceMs = null;
    }
    isOut ||= tempC < 10;
  }
  return rounds;
}

describe('the demo house', () => {
  it('gives the same readings for the same seed and start, and others for another seed', () => {
    expect(hear(3, 30)).toEqual(hear(3, 30));
    expect(hear(4, 30)).not.toEqual(hear(3, 30));
  });

  it('gives the same readings however often it is asked', () => {
    const demo = makeDemoHouse({ seed: 3, startMs });
    const often: DemoReading[] = [];
    for (let atMs = startMs - 2 * demoPastMs; atMs <= startMs + 10 * minuteMs; atMs += 700) {
      often.push(...demo.readingsUntil(atMs));
    }
    often.push(...demo.readingsUntil(startMs + 10 * minuteMs));
    expect(often).toEqual(hear(3, 10));
  });

  it('has each probe speak in its own rhythm, from its past to the instant asked for and not beyond', () => {
    const readings = hear(1, 10);
    const endMs = startMs + 10 * minuteMs;
    expect(readings.map(({ atMs }) => atMs)).toEqual(readings.map(({ atMs }) => atMs).sort((a, b) => a - b));
    for (const { id, intervalMs } of larkfell.probes) {
      const stamps = ofProbe(readings, id).map(({ atMs }) => atMs);
      expect(stamps.every(Number.isInteger)).toBe(true);
      expect(stamps[0]).toBeGreaterThanOrEqual(startMs - demoPastMs);
      expect(stamps[0]).toBeLessThan(startMs - demoPastMs + intervalMs);
      expect(stamps.at(-1)).toBeLessThanOrEqual(endMs);
      expect(stamps.at(-1)).toBeGreaterThan(endMs - intervalMs - 10);
      const gaps = stamps.slice(1).map((atMs, index) => atMs - (stamps[index] ?? 0));
      expect(Math.min(...gaps)).toBeGreaterThanOrEqual(intervalMs);
      expect(Math.max(...gaps)).toBeLessThan(intervalMs + 10);
    }
  });

  it.each([1, 2, 3, 4, 5])('has one jar that makes the hour and one that does not (seed %i)', (seed) => {
    const readings = hear(seed, 400);
    const ice = chillMinutes(ofProbe(readings, 'jar-1'));
    const freezer = chillMinutes(ofProbe(readings, 'jar-2'));
    expect(ice).toHaveLength(3);
    for (const minutes of ice) expect(minutes).toBeLessThan(50);
    expect(freezer).toHaveLength(3);
    for (const minutes of freezer.slice(0, 2)) expect(minutes).toBeGreaterThan(85);
  });

  it('starts with both jars already some minutes in, and neither there yet', () => {
    const past = hear(1, 0);
    for (const id of ['jar-1', 'jar-2']) {
      const readings = ofProbe(past, id);
      const first = readings.findIndex(({ tempC }) => tempC > 27);
      expect(readings.slice(0, first).every(({ tempC }) => tempC < 27)).toBe(true);
      const minutesIn = (startMs - (readings[first]?.atMs ?? 0)) / minuteMs;
      expect(minutesIn).toBeGreaterThan(10);
      expect(minutesIn).toBeLessThan(15);
      expect(readings.at(-1)?.tempC).toBeGreaterThan(limitC + 5);
    }
  });

  it('never leaves the house without a chill for more than an hour', () => {
    const readings = hear(1, 24 * 60);
    const chilling = readings.filter(
      ({ probe, tempC }) => probe.startsWith('jar-') && (tempC > 21 || tempC < 16),
    );
    const gaps = chilling.slice(1).map(({ atMs }, index) => atMs - (chilling[index]?.atMs ?? 0));
    expect(Math.max(...gaps) / minuteMs).toBeLessThan(60);
  });

  it('keeps the fridge, the freezer, the kitchen and the idle pot in their ranges for a day', () => {
    const readings = hear(1, 24 * 60);
    const rangeOf = (probe: string) => {
      const temps = ofProbe(readings, probe).map(({ tempC }) => tempC);
      return [Math.min(...temps), Math.max(...temps)] as const;
    };
    expectWithin(rangeOf('larder-fridge'), 1, 7);
    expectWithin(rangeOf('chest-freezer'), -23, -15);
    expectWithin(rangeOf('kitchen'), 16, 20);
    expectWithin(rangeOf('copper-pot'), 16, 20);
  });
});

describe('a demo house that fell behind', () => {
  it('gives its past in portions', () => {
    const demo = makeDemoHouse({ seed: 1, startMs });
    const first = demo.readingsUntil(startMs);
    expect(first).toHaveLength(readingsMax);
    expect(demo.readingsUntil(startMs)[0]?.atMs).toBeGreaterThanOrEqual(first.at(-1)?.atMs ?? 0);
  });

  it('leaves a gap after a long sleep and then goes on in the present', () => {
    const demo = makeDemoHouse({ seed: 1, startMs });
    while (demo.readingsUntil(startMs).length > 0);
    const wakeMs = startMs + 30 * 3_600_000;
    const heard: DemoReading[] = [];
    let calls = 0;
    for (; (heard.at(-1)?.atMs ?? 0) < wakeMs - 10_000; calls += 1) heard.push(...demo.readingsUntil(wakeMs));
    expect(heard[0]?.atMs).toBeGreaterThanOrEqual(wakeMs - catchUpMax);
    expect(calls).toBeGreaterThanOrEqual((wakeMs - startMs) / callSpanMax);
    expect(calls).toBeLessThan(30);
  });

  it('says nothing twice when the clock was set back', () => {
    const demo = makeDemoHouse({ seed: 1, startMs });
    while (demo.readingsUntil(startMs).length > 0);
    expect(demo.readingsUntil(startMs - 600_000)).toEqual([]);
    expect(demo.readingsUntil(startMs + 5_000).every(({ atMs }) => atMs > startMs)).toBe(true);
  });
});

function expectWithin([low, high]: readonly [number, number], fromC: number, toC: number): void {
  expect(low).toBeGreaterThan(fromC);
  expect(high).toBeLessThan(toC);
}
