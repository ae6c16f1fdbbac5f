import { describe, expect, it, onTestFinished } from 'vitest';
import { type Clock, openClock, type RealTurn } from '../../../daemon/clock/clock.ts';
import { until } from '../open-test-house.ts';

const dawnMs = Date.UTC(2026, 3, 18, 6, 40);

/** A machine whose clocks are set by hand. */
async function machine(trust: 'synchronised' | 'always', synchronised: boolean) {
  const set = { nowMs: dawnMs, steadyMs: 1_000.4, synchronised };
  const clock: Clock = await openClock({
    trust,
    system: {
      nowMs: () => set.nowMs,
      steadyMs: () => set.steadyMs,
      isSynchronised: async () => set.synchronised,
    },
    everyMs: 2,
  });
  onTestFinished(clock.close);
  const turns: RealTurn[] = [];
  return { set, clock, turns, follow: () => clock.follow((turn) => turns.push(turn)) };
}

describe('the clock of the house', () => {
  it('is the steady clock with the offset at its opening, in whole milliseconds', async () => {
    const { clock, set } = await machine('always', false);
    expect([clock.steadyMs(), clock.nowMs(), clock.known()]).toEqual([1_000, dawnMs, true]);
    set.steadyMs += 250.2;
    expect([clock.steadyMs(), clock.nowMs()]).toEqual([1_251, dawnMs + 251]);
  });

  it('takes no turn before it is told to follow, and then finds what turned meanwhile', async () => {
    const { clock, set, turns, follow } = await machine('synchronised', true);
    set.nowMs += 3_600_000;
    await new Promise((resolve) => setTimeout(resolve, 20));
    expect([clock.nowMs(), turns]).toEqual([dawnMs, []]);
    follow();
    await until(
      async () => turns,
      ({ length }) => length > 0,
    );
    expect(turns).toMatchObject([{ is: 'stepped', deltaMs: 3_600_000 }]);
    expect(clock.nowMs()).toBe(dawnMs + 3_600_000);
  });

  it('asks again until the machine says that its clock is synchronised, and then never doubts it', async () => {
    const { clock, set, turns, follow } = await machine('synchronised', false);
    follow();
    expect(clock.known()).toBe(false);
    set.synchronised = true;
    await until(
      async () => turns,
      ({ length }) => length > 0,
    );
    expect(turns).toMatchObject([{ is: 'learned', deltaMs: 0 }]);
    set.synchronised = false;
    await new Promise((resolve) => setTimeout(resolve, 60));
    expect([clock.known(), turns.length]).toEqual([true, 1]);
  });

  it('takes no turn after it is closed', async () => {
    const { clock, set, turns, follow } = await machine('always', true);
    follow();
    clock.close();
    set.nowMs += 60_000;
    await new Promise((resolve) => setTimeout(resolve, 20));
    expect(turns).toEqual([]);
  });
});
