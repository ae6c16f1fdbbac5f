import { describe, expect, it } from 'vitest';
import { heatWord, offeredHeats, usualHeats } from '../../../dashboard/src/words/heat-text.ts';
import { word } from '../../../shared/contract/word.ts';

const inF = { probe: 'pot', units: 'F' } as const;
const ofF = (tempF: number) => ((tempF - 32) * 5) / 9;

describe('what is asked of a pot', () => {
  it.each([
    ['190 F, then 10 min', { limitC: ofF(190), holdAfter: { holdMs: 600_000 } }],
    ['88C', { limitC: 88 }],
    ['190', { limitC: ofF(190) }],
    ['boil, then 1 min', { toBoil: true, holdAfter: { holdMs: 60_000 } }],
    ['the boil', { toBoil: true }],
    ['145 F then 30m', { limitC: ofF(145), holdAfter: { holdMs: 1_800_000 } }],
  ])('reads %s', (text, asked) => {
    const found = heatWord(text, inF);
    expect(found).toEqual({ kind: 'heat-begin', probe: 'pot', ...asked });
    expect(word.safeParse(found).success).toBe(true);
  });

  it.each(['', 'hot', '500 F', '161 F, then 15 s', '190 F, then soon', '190 F, then 1 min, then 2 min'])(
    'refuses %j',
    (text) => {
      expect(heatWord(text, inF)).toBeNull();
    },
  );

  it('offers the last ones first and nothing twice', () => {
    expect(offeredHeats(['180 F', '72 F'], 'F').slice(0, 3)).toEqual(['180 F', '72 F', '86 F']);
    for (const units of ['F', 'C'] as const) {
      expect(usualHeats[units].map((text) => heatWord(text, { probe: 'pot', units }))).not.toContain(null);
    }
  });
});
