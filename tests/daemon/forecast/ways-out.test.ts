import { describe, expect, it } from 'vitest';
import {
  type ChillQuestion,
  feedChill,
  openChillTrace,
  rescueChill,
} from '../../../daemon/forecast/chill-forecast.ts';
import { type ChillView, viewChill } from '../../../daemon/forecast/chill-view.ts';
import { waysOut } from '../../../daemon/forecast/ways-out.ts';
import { type Rescue, type RescueKind, rescue as rescueShape } from '../../../shared/contract/forecast.ts';
import { nothingTold } from '../../../shared/dairy/at-hand.ts';
import { milkFreezesC } from '../../../shared/dairy/milk-freezing.ts';
import { rescueSureFrom } from '../../../shared/dairy/offered-rescue.ts';

const minute = 60_000;
const atMs = 12 * minute;
const question: ChillQuestion = {
  limitC: 40 / 9,
  marginC: 0,
  deadlineMs: 60 * minute,
  sinceMs: 0,
  told: { place: 'freezer', aroundC: null, volumeL: 2, material: 'glass' },
  atHand: { ...nothingTold, fan: true },
};

/** Two litres in still air of -16 °C: by Newton's law with a time constant of 100 minutes. */
function freezerTrace(minutes = 12) {
  let trace = openChillTrace('ways');
  for (let atS = 0; atS <= minutes * 60; atS += 5) {
    trace = feedChill(trace, { atMs: atS * 1000, tempC: -16 + 51 * Math.exp(-atS / 6000) });
  }
  return trace;
}

function waysOf(changed: Partial<ChillQuestion> = {}): Rescue[] {
  return rescueChill(freezerTrace(), { ...question, ...changed }, atMs);
}

/** The same milk in a room of 20 °C, by Newton's law with a time constant of three hours. */
function inRoom(): Rescue[] {
  let trace = openChillTrace('room');
  for (let atS = 0; atS <= 720; atS += 5) {
    trace = feedChill(trace, { atMs: atS * 1000, tempC: 20 + 15 * Math.exp(-atS / 10_800) });
  }
  return rescueChill(trace, { ...question, told: { ...question.told, place: 'room' } }, atMs);
}

const kindsOf = (ways: readonly Rescue[]): RescueKind[] => ways.map(({ kind }) => kind).sort();
const wayOf = (ways: readonly Rescue[], kind: RescueKind): Rescue => {
  const found = ways.find((way) => way.kind === kind);
  if (found === undefined) throw new Error(`no ${kind} among ${kindsOf(ways).join(', ')}`);
  return found;
};

describe('the ways out of a jar in still freezing air', () => {
  it('are stirred baths, smaller jars and the fan that the house told of', () => {
    expect(kindsOf(waysOf())).toEqual(['cold-water-then-ice', 'fan', 'ice-bath-stirred', 'split']);
  });

  it('leave out what wins nothing: stirring in air, and a bath of water that nobody stirs for two litres', () => {
    expect(kindsOf(waysOf())).not.toContain('stir');
    expect(kindsOf(waysOf())).not.toContain('ice-bath');
    // In a room it never gets there: there such a bath is worth a hand.
    expect(kindsOf(inRoom())).toContain('ice-bath');
  });

  it('come quickest first, each as the contract has it', () => {
    const ways = waysOf();
    const medians = ways.map(({ crossing }) => crossing.p50 ?? Number.POSITIVE_INFINITY);
    expect(medians).toEqual([...medians].sort((a, b) => a - b));
    for (const way of ways) {
      const { crossing, path } = rescueShape.parse(way);
      expect(crossing.p10 ?? 0).toBeLessThanOrEqual(crossing.p50 ?? Infinity);
      expect(crossing.p50 ?? 0).toBeLessThanOrEqual(crossing.p90 ?? Infinity);
      expect(Math.min(...path.map(({ p10C }) => p10C))).toBeGreaterThanOrEqual(milkFreezesC);
      expect(path[0]?.atMs).toBe(atMs);
    }
  });

  it('leave out what the house has not got', () => {
    const atHand = { ice: true, water: false, waterC: null, vessels: false, fan: false };
    expect(kindsOf(waysOf({ atHand }))).toEqual(['ice-bath-stirred']);
    expect(kindsOf(waysOf({ atHand: { ...atHand, ice: false } }))).toEqual([]);
  });

  it('offer a fan only where one was told of', () => {
    expect(kindsOf(waysOf({ atHand: nothingTold }))).not.toContain('fan');
  });

  it('leave out what was done', () => {
    expect(kindsOf(waysOf({ done: ['split', 'fan'] }))).not.toContain('split');
    expect(kindsOf(waysOf({ done: ['split', 'fan'] }))).not.toContain('fan');
  });

  it('split by how much milk there is: 2 L into five, none of a jar that is small already', () => {
    expect(wayOf(waysOf(), 'split').vessels).toBe(5);
    expect(kindsOf(waysOf({ told: { ...question.told, volumeL: 0.35 } }))).not.toContain('split');
  });

  // Equal shapes: surface over volume grows by the cube root of their number, so five jars fall 1.71 times faster
  // and at most that (Singh & Heldman, surface over volume of similar bodies).
  it('are not quicker for smaller jars than the cube root of their number allows', () => {
    const split = wayOf(waysOf(), 'split');
    const alone = 100 * Math.log((30 + 16) / (40 / 9 + 16));
    const median = ((split.crossing.p50 ?? 0) - atMs) / minute;
    expect(median).toBeGreaterThan(alone / 5 ** (1 / 3) - 1);
    expect(median).toBeLessThan(alone);
  });
});

describe('cold water before the ice', () => {
  it('tells how long, how much water and less ice than at once', () => {
    const ways = waysOf();
    const both = wayOf(ways, 'cold-water-then-ice');
    expect(both.waterSpanMs).toBe(10 * minute);
    // From 29 °C in water of 13.5 °C the median law takes 5.8 K in ten minutes; 2.06 kg of milk of 3.89 kJ/kgK then
    // give 46 kJ, which 2.8 L of water take by 4 K.
    expect(both.waterL).toBe(3);
    expect(both.iceKg ?? 0).toBeLessThan(wayOf(ways, 'ice-bath-stirred').iceKg ?? 0);
  });

  it('has no caution of cracking glass, which ice at once has for warm glass and not for steel', () => {
    const glass = waysOf();
    expect(wayOf(glass, 'cold-water-then-ice').cautions).not.toContain('warm-glass-cracks');
    expect(wayOf(glass, 'ice-bath-stirred').cautions).toContain('warm-glass-cracks');
    const steel = waysOf({ told: { ...question.told, material: 'steel' } });
    expect(wayOf(steel, 'ice-bath-stirred').cautions).not.toContain('warm-glass-cracks');
  });

  it('knows no amounts where no volume was told', () => {
    const way = wayOf(waysOf({ told: { ...question.told, volumeL: null } }), 'cold-water-then-ice');
    expect([way.iceKg, way.waterL]).toEqual([null, null]);
  });
});

describe('the last useful instant', () => {
  it('is a whole minute at which the way would still be sure, and one later is not', () => {
    const litre = { ...question, told: { ...question.told, volumeL: 0.95 } };
    const way = wayOf(waysOf(litre), 'ice-bath-stirred');
    const lastMs = way.lastUsefulAtMs ?? 0;
    expect(way.chance).toBeGreaterThanOrEqual(rescueSureFrom);
    expect(lastMs % minute).toBe(0);
    expect(lastMs).toBeGreaterThanOrEqual(atMs);
    const late = rescueChill(freezerTrace(lastMs / minute + 6), litre, lastMs + 6 * minute);
    expect(wayOf(late, 'ice-bath-stirred').chance).toBeLessThan(rescueSureFrom);
  });
});

describe('a slice of the work', () => {
  it('makes its half anew and keeps the other as it was', () => {
    const view = viewChill(freezerTrace(), question, atMs) as ChillView;
    const all = waysOut(view, question, { atMs, chance: 0.05 });
    const later = { atMs: atMs + minute, chance: 0.05, before: all };
    const baths = waysOut(view, question, { ...later, slice: 'baths' });
    expect(kindsOf(baths)).toEqual(kindsOf(all));
    expect(wayOf(baths, 'split')).toEqual(wayOf(all, 'split'));
    expect(wayOf(baths, 'ice-bath-stirred').path[0]?.atMs).toBe(atMs + minute);
    const changes = waysOut(view, question, { ...later, slice: 'changes' });
    expect(wayOf(changes, 'ice-bath-stirred')).toEqual(wayOf(all, 'ice-bath-stirred'));
    expect(wayOf(changes, 'split').path[0]?.atMs).toBe(atMs + minute);
  });
});
