import { expect, test } from 'vitest';
import { bathWays } from '../../../daemon/forecast/bath-ways.ts';
import {
  type ChillQuestion,
  feedChill,
  openChillTrace,
  rescueChill,
} from '../../../daemon/forecast/chill-forecast.ts';
import { forecastWay } from '../../../daemon/forecast/way-forecast.ts';
import {
  type PathPoint,
  type Rescue,
  type RescueKind,
  rescue as rescueShape,
} from '../../../shared/contract/forecast.ts';

const minute = 60_000;
const question: ChillQuestion = {
  limitC: 40 / 9,
  marginC: 0,
  deadlineMs: 60 * minute,
  sinceMs: 0,
  told: { place: 'freezer', aroundC: null, volumeL: 0.95, material: 'glass' },
};

/** Milk that hardly cools from 35 °C for `minutes`. */
function warmTrace(minutes: number) {
  let trace = openChillTrace('rescue');
  for (let atS = 0; atS <= minutes * 60; atS += 5) {
    trace = feedChill(trace, { atMs: atS * 1000, tempC: 35 + 0.3 * Math.exp(-atS / 120) });
  }
  return trace;
}

function fahrenheit(tempC: number): number {
  return tempC * 1.8 + 32;
}

/** A bath for a litre of milk that is at 35 °C. */
function bathOf(kind: RescueKind, { atMs, ...asked }: ChillQuestion & { atMs: number }): Rescue | undefined {
  const way = bathWays(35, asked).find((bath) => bath.kind === kind);
  const rescue = way && forecastWay(way, { atMs, nowC: 35, asItGoes: [] }, asked);
  return rescue && rescueShape.parse(rescue);
}

function medianAt(path: readonly PathPoint[], atMs: number): number {
  const next = path.findIndex((point) => point.atMs >= atMs);
  const [before, after] = [path[next - 1], path[next]];
  if (before === undefined || after === undefined) return Number.NaN;
  const share = (atMs - before.atMs) / (after.atMs - before.atMs);
  return before.p50C + share * (after.p50C - before.p50C);
}

// M. J. Toth's table, goat's milk in ice water: 48, 42 and 40 °F after 30, 60 and 90 min; container and start
// temperature not stated there, taken as 0.95 L from 35 °C.
test('is not ahead of the handbook with an unstirred ice bath', () => {
  const atMs = 4 * minute;
  const far = { ...question, deadlineMs: 200 * minute };
  const bath = bathOf('ice-bath', { ...far, atMs });
  const path = bath?.path ?? [];
  const startMs = path[1]?.atMs ?? 0;
  const median = [30, 60, 90].map((span) => fahrenheit(medianAt(path, startMs + span * minute)));
  expect(median[0]).toBeGreaterThanOrEqual(47.5);
  expect(median[1]).toBeGreaterThanOrEqual(41.5);
  expect(median[2]).toBeGreaterThanOrEqual(39.5);
  expect(median[0]).toBeLessThan(54);
  expect(median[2]).toBeLessThan(44);
});

test('is likelier with stirring, with the ice that the balance asks for and its cautions', () => {
  const stirred = bathOf('ice-bath-stirred', { ...question, atMs: 10 * minute });
  const still = bathOf('ice-bath', { ...question, atMs: 10 * minute });
  expect(stirred?.chance).toBeGreaterThan(still?.chance ?? 1);
  expect(stirred?.chance).toBeGreaterThan(0.8);
  // Worked by hand, kg of ice that ends as water of 2 °C (333.42 + 2 x 4.19 = 341.8 kJ/kg): 0.979 kg of milk of
  // 3.885 kJ/kgK from 35 °C 0.367; a glass of 0.34 kJ/KL 0.031; 0.95 L of tap water from 12 °C 0.116; the room's
  // 86 kJ at a litre 0.249. That is 0.764; times 1.6 to spare 1.22.
  expect(stirred?.iceKg).toBe(1.3);
  expect(stirred?.cautions).toContain('warm-glass-cracks');
});

test('names the last useful instant as a whole minute, and none once it is too late', () => {
  const early = rescueChill(warmTrace(10), question, 10 * minute)[0];
  expect((early?.lastUsefulAtMs ?? 1) % minute).toBe(0);
  expect(early?.lastUsefulAtMs ?? 0).toBeGreaterThanOrEqual(10 * minute);
  expect(rescueChill(warmTrace(50), question, 50 * minute)[0]?.lastUsefulAtMs).toBeNull();
});

test('offers nothing before the first readings', () => {
  expect(rescueChill(openChillTrace('none'), question, minute)).toEqual([]);
});
