import { describe, expect, it } from 'vitest';
import { chillsByItself, marginOf, type WatchRules } from '../../../daemon/watch/rules.ts';

const probe = { place: null, volumeL: null, material: null, uncertaintyC: 0.3, measures: null };
const rules: WatchRules = {
  chill: { limitC: 40 / 9, spanMs: 3_600_000, guarded: true },
  places: { stove: { kind: 'pot', aroundC: null }, larder: { kind: 'fridge', aroundC: null } },
  probes: {
    jar: probe,
    shelf: { ...probe, place: 'larder' },
    air: { ...probe, place: 'larder', measures: 'larder' },
    pot: { ...probe, place: 'stove' },
  },
  startsByItself: true,
};

describe('a chill that begins by itself', () => {
  it('may begin on a probe for milk, also on one that the house file does not name', () => {
    expect(['jar', 'shelf', 'unknown'].map((id) => chillsByItself(rules, id))).toEqual([true, true, true]);
  });

  it('begins neither in a pot, nor on a probe that measures air, nor where words begin all watches', () => {
    expect(['pot', 'air'].map((id) => chillsByItself(rules, id))).toEqual([false, false]);
    expect(chillsByItself({ ...rules, startsByItself: false }, 'jar')).toBe(false);
  });
});

describe('the margin of a probe', () => {
  it('is its uncertainty, half a degree where it is not known, and none where the guard is off', () => {
    expect([marginOf(rules, 'jar'), marginOf(rules, 'unknown')]).toEqual([0.3, 0.5]);
    expect(marginOf({ ...rules, chill: { ...rules.chill, guarded: false } }, 'jar')).toBe(0);
  });
});
