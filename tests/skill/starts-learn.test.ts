import { expect, it } from 'vitest';
import { trainJudge } from './everyday/learn-net.ts';
import type { StartLesson } from './everyday/learn-rows.ts';

/** Rows of two signs: in milk where the first is above the second, for as long as the second says. */
function lesson(count: number): StartLesson {
  const signs = Float32Array.from({ length: 2 * count }, (_, place) => Math.sin(place * 12.9898) * 2);
  const truths = Float32Array.from({ length: count }, (_, row) =>
    (signs[2 * row] as number) > (signs[2 * row + 1] as number) ? 1 : 0,
  );
  return {
    signs,
    truths,
    ages: truths.map((truth, row) => truth * (150 + 50 * (signs[2 * row + 1] as number))),
    weights: new Float32Array(count).fill(1),
    count,
  };
}

it('learns the same weights from the same lesson and seed, and less loss with each pass', () => {
  const losses: number[] = [];
  const of = {
    seed: 3,
    passes: 6,
    inputs: 2,
    tell: (line: string) => losses.push(Number(line.split(' ').at(-1))),
  };
  const first = trainJudge(lesson(4096), of);
  expect(trainJudge(lesson(4096), of)).toEqual(first);
  expect(losses.slice(0, 6)).toEqual(losses.slice(6));
  expect(losses[5]).toBeLessThan(0.4 * (losses[0] as number));
});
