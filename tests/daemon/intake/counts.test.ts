import { describe, expect, it } from 'vitest';
import { countedProbesMax, openCounts, refusalsShownMax } from '../../../daemon/intake/counts.ts';

const none = { taken: 0, repeats: 0, conflicts: 0, late: 0, undated: 0, refused: 0 };
const refusal = (probe: string | null, message = 'a line') =>
  ({ source: 'wire', probe, code: 'WIRE_GARBLED', message }) as const;

describe('the counts of the intake', () => {
  it('count each probe by itself, and refusals of no probe under a star', () => {
    const counts = openCounts();
    counts.add('jar', 'taken', 3);
    counts.add('jar', 'late');
    counts.refuse(refusal('jar'));
    counts.refuse(refusal(null));
    expect(counts.of('jar')).toEqual({ ...none, taken: 3, late: 1, refused: 1 });
    expect(counts.of('*')).toEqual({ ...none, refused: 1 });
    expect(counts.of('can')).toEqual(none);
  });

  it('show the newest refusals, and only count the others', () => {
    const counts = openCounts();
    for (let index = 0; index < refusalsShownMax + 5; index++) counts.refuse(refusal('jar', `${index}`));
    expect(counts.refusals().map(({ message }) => message)).toEqual(
      Array.from({ length: refusalsShownMax }, (_, index) => `${index + 5}`),
    );
    expect(counts.of('jar').refused).toBe(refusalsShownMax + 5);
  });

  it('count together what comes under ever new names', () => {
    const counts = openCounts();
    for (let index = 0; index < countedProbesMax + 10; index++) counts.refuse(refusal(`p${index}`));
    expect(counts.of(`p${countedProbesMax - 1}`).refused).toBe(1);
    expect(counts.of(`p${countedProbesMax + 9}`)).toEqual(none);
    expect(counts.of('*').refused).toBe(10);
  });
});
