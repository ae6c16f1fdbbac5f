import { describe, expect, it } from 'vitest';
import type { Rescue } from '../../shared/contract/forecast.ts';
import { crossedWith, populationJar } from './population.ts';
import { type Act, drawAct } from './rescue/act.ts';
import { followRescues, type RescueStory } from './rescue/follow-rescues.ts';
import { scoreRescues } from './rescue/score-rescues.ts';

// The small size of `npm run skill -- rescues`: the same code, few jars, fixed seeds.
const jars = 18;
const stories = (population: 1 | 2): RescueStory[] =>
  Array.from({ length: jars }, (_, place) => place).flatMap((place) =>
    followRescues({ population, seed: 5, place, everyS: 60 }),
  );

describe.each([1, 2] as const)('ways out on simulated jars of population %i', (population) => {
  const told = stories(population);

  it('make it where they are called sure', () => {
    const [all] = scoreRescues(told).filter(({ kind, mode }) => kind === 'all' && mode === 'told');
    expect(all?.called).toBeGreaterThanOrEqual(8);
    expect(all?.made).toBeGreaterThanOrEqual(0.8);
  });

  it('are told of several kinds, some of which are not called so', () => {
    expect(new Set(told.map(({ kind }) => kind)).size).toBeGreaterThanOrEqual(4);
    expect(told.some(({ chance }) => chance < 0.5)).toBe(true);
  });
});

describe.each([1, 2] as const)('an act on a jar of population %i', (population) => {
  const rescue: Rescue = {
    kind: 'ice-bath-stirred',
    lastUsefulAtMs: null,
    chance: 0,
    crossing: { p10: null, p50: null, p90: null },
    path: [],
    iceKg: 2,
    cautions: [],
  };
  const doomed = Array.from({ length: 40 }, (_, place) => place).find((place) => {
    const { crossedMin, scene, volumeL } = populationJar(population, 5, place);
    return (crossedMin ?? 240) > 75 && scene === 'still freezer' && (volumeL ?? 9) < 1.5;
  });
  const of = { population, seed: 5, place: doomed ?? 0 };
  const act = (changed: Partial<Act> = {}): Act => ({
    ...drawAct({ rescue, volumeL: 1, saidS: 600, seed: 5, place: 0 }),
    ...changed,
  });

  it('saves it with enough ice and not with a handful', () => {
    expect(crossedWith(act({ fromS: 660 }), of)).not.toBeNull();
    expect(crossedWith(act({ fromS: 660, iceKg: 0.02 }), of)).toBeNull();
  });

  it('comes too late in the last second of the hour', () => {
    expect(crossedWith(act({ fromS: 3599 }), of)).toBeNull();
  });
});
