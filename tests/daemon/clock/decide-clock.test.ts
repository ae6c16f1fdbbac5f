import { describe, expect, it } from 'vitest';
import { decideClock } from '../../../daemon/clock/decide-clock.ts';

const at = (systemMs: number, synchronised: boolean) => ({ systemMs, steadyMs: 1_000, synchronised });
const state = (offsetMs: number, known: boolean) => ({ offsetMs, known });

describe('the clock', () => {
  it.each([
    ['takes a small difference for noise', state(0, true), at(1_499, true), { is: 'none' }],
    [
      'takes half a second for a step forward',
      state(0, true),
      at(1_500, true),
      { is: 'stepped', state: state(500, true), deltaMs: 500 },
    ],
    [
      'takes an hour back for a step',
      state(0, true),
      at(1_000 - 3_600_000, true),
      { is: 'stepped', state: state(-3_600_000, true), deltaMs: -3_600_000 },
    ],
    [
      'learns the time where it becomes known with a jump',
      state(0, false),
      at(9_000, true),
      { is: 'learned', state: state(8_000, true), deltaMs: 8_000 },
    ],
    [
      'learns that the time was right all along',
      state(0, false),
      at(1_100, true),
      { is: 'learned', state: state(0, true), deltaMs: 0 },
    ],
    [
      'does not know a time that somebody only set',
      state(0, false),
      at(9_000, false),
      { is: 'stepped', state: state(8_000, false), deltaMs: 8_000 },
    ],
    [
      'keeps knowing a time that falls out of synchronisation',
      state(0, true),
      at(1_000, false),
      { is: 'none' },
    ],
  ] as const)('%s', (_, before, look, turn) => {
    expect(decideClock(before, look)).toEqual(turn);
  });
});
