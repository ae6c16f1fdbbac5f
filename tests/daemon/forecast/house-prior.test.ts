import { describe, expect, it } from 'vitest';
import { feedChill, forecastChill, openChillTrace } from '../../../daemon/forecast/chill-forecast.ts';
import { cooledC, minutesTo } from '../../../daemon/forecast/cooling-law.ts';
import { learn, lessonOf, lessonsPerSetupMax } from '../../../daemon/forecast/house-prior.ts';
import { learnedWays, lessonsFor, type Setup, weighMisses } from '../../../daemon/forecast/learned-ways.ts';
import type { HousePrior, Lesson } from '../../../shared/contract/prior.ts';

const limitC = 40 / 9;
const chest: Setup = { place: 'chest', kind: 'freezer', material: 'glass', volumeL: 0.95 };
/** Newton's law: 36 to 4.44 °C at -18 °C around in 43.9 min (ln(54 / 22.44) / 0.02). */
const law = { aroundC: -18, n: 1, perMin: 0.02 };

function traceOf(of: { aroundC: number; n: number; perMin: number }, min: number) {
  let trace = openChillTrace('x');
  for (let s = 0; s <= min * 60; s += 15)
    trace = feedChill(trace, { atMs: s * 1000, tempC: cooledC(of, 36, s / 60) });
  return trace;
}

function taught(min: number, setup = chest, of = law, before: Lesson[] = []): Lesson | null {
  const crossedMin = minutesTo(of, 36, limitC);
  const crossedMs = crossedMin <= min ? crossedMin * 60_000 : null;
  const regime = {
    trace: traceOf(of, min),
    sinceMs: 0,
    toMs: crossedMs ?? min * 60_000,
    aroundC: null,
    limitC,
    deadlineMs: 3_600_000,
    crossedMs,
  };
  return lessonOf(`chill-jar-${min}/1`, setup, { regime, before });
}

const priorOf = (lessons: readonly (Lesson | null)[]) =>
  lessons.reduce<HousePrior | null>(
    (prior, one, at) => (one === null ? prior : learn(prior, { ...one, id: `chill-jar-${at}/1` })),
    null,
  );

describe('what a chill teaches', () => {
  it('is its law, from the whole curve', () => {
    const lesson = taught(60);
    expect(lesson).toMatchObject({ ...chest, crossed: true, taken: true });
    const minutes = minutesTo(
      { ...law, aroundC: lesson?.aroundC ?? 0, perMin: Math.exp(lesson?.logPerMin ?? 0) },
      36,
      limitC,
    );
    expect(Math.abs(minutes - 43.9)).toBeLessThan(4);
  });

  it('is nothing where it lasted less than 8 min, and is less sure where it ended early', () => {
    expect(taught(7.9)).toBeNull();
    const early = taught(12);
    expect(early?.crossed).toBe(false);
    expect(early?.logPerMinSd).toBeGreaterThan(taught(60)?.logPerMinSd ?? 1);
  });

  it('is left out where it lies far from anything usual of such a place', () => {
    const wrong = taught(30, { ...chest, kind: 'freezer' }, { aroundC: 1, n: 1, perMin: 0.25 });
    expect(wrong?.taken).toBe(false);
    expect(lessonsFor(priorOf([wrong]), chest)).toEqual([]);
  });

  it('says when a stretch that was cut off would have ended, so that slow jars that were rescued count', () => {
    const slow = { aroundC: -10, n: 1, perMin: 0.011 };
    const cut = taught(25, chest, slow);
    const whole = taught(150, chest, slow);
    expect([cut?.crossed, whole?.crossed]).toEqual([false, true]);
    // Both say the same of how wrong the usual forecast was; dropping the first would leave the quick jars alone.
    expect(Math.abs((cut?.missUsual ?? 9) - (whole?.missUsual ?? 0))).toBeLessThan(0.25);
  });
});

describe('the prior of a house', () => {
  it('is by place and by material, where both are told', () => {
    const prior = priorOf([
      taught(60),
      taught(60, { ...chest, material: 'steel' }),
      taught(60, { ...chest, place: 'larder' }),
    ]);
    const count = (setup: Setup) => lessonsFor(prior, setup).length;
    expect([count(chest), count({ ...chest, material: null }), count({ ...chest, place: 'tub' })]).toEqual([
      1, 2, 0,
    ]);
  });

  it('keeps the newest chills of a set-up, and never the whole say', () => {
    const prior = priorOf(Array.from({ length: lessonsPerSetupMax + 3 }, () => taught(60)));
    expect(prior?.lessons.map(({ id }) => id)[0]).toBe('chill-jar-3/1');
    expect(prior?.lessons).toHaveLength(lessonsPerSetupMax);
    const told = { place: 'freezer', aroundC: null, volumeL: 0.95, material: null } as const;
    const ways = learnedWays(told, prior?.lessons ?? []);
    const usual = ways.filter(({ exponentShares }) => exponentShares === undefined);
    expect(ways.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 9);
    expect(usual.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(0.1, 9);
  });

  it('slows a forecast where the house’s chills came later than was said, and leaves one without lessons alone', () => {
    const trace = traceOf(law, 15);
    const told = { place: 'freezer', aroundC: null, volumeL: 0.95, material: null } as const;
    const question = { limitC, marginC: 0, deadlineMs: 3_600_000, sinceMs: 0, told };
    const p50 = (lessons?: Lesson[]) =>
      forecastChill(trace, lessons === undefined ? question : { ...question, lessons }, 900_000)?.crossing
        .p50 ?? 0;
    const late = Array.from({ length: 6 }, () => ({
      ...(taught(60) as Lesson),
      missUsual: 0.4,
      missOwn: null,
    }));
    expect(weighMisses(late).by).toBe('usual');
    expect(weighMisses(late).slower).toBeCloseTo(0.24, 12);
    expect(p50([])).toBe(p50());
    expect(p50(late)).toBeGreaterThan(p50() + 60_000);
  });
});
