import { describe, expect, it } from 'vitest';
import { type Asked, followHouse } from './learning/follow-house.ts';

const houses = 12;

describe('learning simulated houses', () => {
  const asked: Asked[] = [];
  for (let house = 0; house < houses; house++)
    asked.push(...followHouse({ population: 1, seed: 4242, house }));
  const median = (values: number[]) => values.sort((a, b) => a - b)[values.length >> 1] as number;
  const at = (wrong: number) => asked.filter((one) => one.stage === 12 && one.wrong === wrong);

  it.each([0, 0.05])(
    'brings the median crossing nearer after 12 chills, with %f of the labels wrong',
    (wrong) => {
      const own = at(wrong);
      expect(own.length).toBeGreaterThan(30);
      const learned = median(own.map(({ learnedMin }) => learnedMin));
      expect(learned).toBeLessThan(0.85 * median(own.map(({ unlearnedMin }) => unlearnedMin)));
    },
  );

  it('changes nothing before the first chill', () => {
    const first = asked.filter(({ stage }) => stage === 0);
    expect(first.map(({ learnedMin }) => learnedMin)).toEqual(first.map(({ unlearnedMin }) => unlearnedMin));
  });
});
