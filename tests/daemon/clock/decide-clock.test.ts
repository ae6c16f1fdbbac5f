import { describe, expect, it } from 'vitest';
import { beginClock, decideClock } from '../../../daemon/clock/decide-clock.ts';

const at = (systemMs: number, synchronised: boolean) => ({ systemMs, steadyMs: 1_000, synchronised });
const state = (offsetMs: number, known: boolean, systemOffsetMs = offsetMs) => ({
  offsetMs,
  systemOffsetMs,
  known,
});

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
      'learns the time also where it had gone on from a later one than the system showed',
      state(5_000, false, -7_000),
      at(9_000, true),
      { is: 'learned', state: state(8_000, true), deltaMs: 3_000 },
    ],
    [
      'follows a step of a time that it does not know from where it stands',
      state(5_000, false, -7_000),
      at(-5_000, false),
      { is: 'stepped', state: state(6_000, false, -6_000), deltaMs: 1_000 },
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

describe('the clock at a start', () => {
  it.each([
    [
      'takes what the system shows where it says that it is right',
      at(500_000, true),
      900_000,
      state(499_000, true),
    ],
    [
      'takes what the system shows where nothing was read yet',
      at(500_000, false),
      null,
      state(499_000, false),
    ],
    [
      'takes a time that is not known where it lies after the last reading',
      at(500_000, false),
      400_000,
      state(499_000, false),
    ],
    [
      'goes on from the last reading where the system shows an earlier time',
      at(500_000, false),
      900_000,
      state(899_000, false, 499_000),
    ],
  ] as const)('%s', (_, look, notBeforeMs, begun) => {
    expect(beginClock(look, notBeforeMs)).toEqual(begun);
  });
});
