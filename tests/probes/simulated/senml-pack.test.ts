import { describe, expect, it } from 'vitest';
import { packMax, packSpanMs, packsOf, senmlOf } from '../../../probes/simulated/senml-pack.ts';
import { parseSenml } from '../../../probes/wire/senml.ts';

const startMs = 1_772_519_400_000;
const at = (probe: string, seconds: number) => ({ probe, atMs: startMs + seconds * 1000, tempC: 4.0625 });

describe('packs of readings', () => {
  it('hold one probe each and keep its order', () => {
    const readings = [at('a', 0), at('b', 1), at('a', 2), at('b', 3)];
    expect(packsOf(readings)).toEqual([
      { probe: 'a', readings: [at('a', 0), at('a', 2)] },
      { probe: 'b', readings: [at('b', 1), at('b', 3)] },
    ]);
  });

  it('are closed when full, and when they span a minute', () => {
    const many = Array.from({ length: packMax + 1 }, (_, second) => at('a', second));
    expect(packsOf(many).map(({ readings }) => readings.length)).toEqual([packMax, 1]);
    const rare = [at('a', 0), at('a', packSpanMs / 1000 - 1), at('a', packSpanMs / 1000)];
    expect(packsOf(rare).map(({ readings }) => readings.length)).toEqual([2, 1]);
  });

  it('are none for no readings', () => {
    expect(packsOf([])).toEqual([]);
  });
});

it('writes SenML with absolute times that reads back to the millisecond', () => {
  const readings = [at('jar-1', 0.001), at('jar-1', 1.999)];
  expect(senmlOf(readings)).toBe(
    '[{"n":"jar-1","u":"Cel","v":4.0625,"t":1772519400.001},{"n":"jar-1","u":"Cel","v":4.0625,"t":1772519401.999}]',
  );
  expect(parseSenml(senmlOf(readings), { source: 'test', probe: 'jar-1' })).toEqual({
    readings: readings.map((reading) => ({ ...reading, undated: false })),
    refusals: [],
  });
});
