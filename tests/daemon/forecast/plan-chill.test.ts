import { describe, expect, it } from 'vitest';
import { planChill } from '../../../daemon/forecast/plan-chill.ts';
import type { Lesson } from '../../../shared/contract/prior.ts';

const question = {
  volumeL: 0.95,
  material: 'glass',
  fromC: 35,
  limitC: 40 / 9,
  marginC: 0.3,
  spanMin: 60,
} as const;
const places = [
  { id: 'chest', kind: 'freezer', aroundC: null },
  { id: 'larder', kind: 'fridge', aroundC: null },
  { id: 'tub', kind: 'ice-bath', aroundC: null },
  { id: 'stable', kind: 'room', aroundC: null },
] as const;

describe('a plan before milking', () => {
  const ways = planChill(question, places);
  const of = (place: string, stirred: boolean | null = null) =>
    ways.find((way) => way.place === place && way.stirred === stirred);

  it('puts the stirred ice bath first, and alone calls it likely to make the hour', () => {
    expect(ways.map(({ place, stirred }) => [place, stirred])[0]).toEqual(['tub', true]);
    expect(ways.filter(({ chance }) => chance >= 0.8).length).toBe(1);
  });

  // M. J. Toth's table, goat's milk: under 40 °F in a freezer after 105 min, in ice water after 90; 42 °F in a fridge
  // after 480 min. Container and start temperature are not stated there, taken as 0.95 L from 35 °C.
  it('holds the handbook’s times within its spread', () => {
    const within = (minutes: number, way: ReturnType<typeof of>) => {
      expect(way?.minutes.p10 ?? Infinity).toBeLessThan(minutes);
      expect(way?.minutes.p90 ?? Infinity).toBeGreaterThan(minutes);
    };
    within(105, of('chest'));
    within(90, of('tub', false));
    within(480, of('larder'));
  });

  it('never gets under the limit in a warm room', () => {
    expect(of('stable')).toEqual({
      place: 'stable',
      stirred: null,
      chills: 0,
      minutes: { p10: null, p50: null, p90: null },
      chance: 0,
    });
  });

  it('goes by the house’s own chills where there are two, says how many, and narrows by them', () => {
    const taught = (id: string): Lesson => ({
      id,
      place: 'chest',
      kind: 'freezer',
      material: null,
      volumeL: 0.95,
      aroundC: -18,
      aroundSdC: 0.5,
      logPerMin: Math.log(0.025),
      logPerMinSd: 0.05,
      exponentShares: [1, 0, 0, 0],
      missUsual: null,
      missOwn: null,
      endedMs: 0,
      spanMs: 3_000_000,
      crossed: true,
      taken: true,
    });
    const chest = { id: 'chest', kind: 'freezer', aroundC: null } as const;
    const usual = planChill(question, [{ ...chest, lessons: [taught('a/1')] }])[0];
    const lessons = ['a/1', 'b/1', 'c/1', 'd/1', 'e/1', 'f/1'].map(taught);
    const own = planChill(question, [{ ...chest, lessons }])[0];
    expect([usual?.chills, own?.chills]).toEqual([0, 6]);
    // Newton's law: ln((35 + 18) / (4.44 + 18)) / 0.025 = 34.4 min (Singh & Heldman).
    expect(own?.minutes.p50).toBeGreaterThan(33);
    expect(own?.minutes.p50).toBeLessThan(38);
    expect((own?.minutes.p50 ?? 0) - (own?.minutes.p10 ?? 0)).toBeLessThan(
      (usual?.minutes.p50 ?? 0) - (usual?.minutes.p10 ?? 0),
    );
  });

  it('takes longer for more milk, and is surer of a place whose cold is told', () => {
    const more = planChill({ ...question, volumeL: 3.8 }, places);
    for (const { chance, place, stirred } of more)
      expect(chance).toBeLessThanOrEqual(of(place, stirred)?.chance ?? 0);
    const told = planChill(question, [{ id: 'chest', kind: 'freezer', aroundC: -18 }])[0]?.minutes;
    const width = (minutes: typeof told) => (minutes?.p90 ?? Infinity) - (minutes?.p10 ?? 0);
    expect(width(told)).toBeLessThan(width(of('chest')?.minutes));
  });
});
