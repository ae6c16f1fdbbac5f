import { describe, expect, it, onTestFinished } from 'vitest';
import { openEraClock } from '../../daemon/open-clock.ts';
import { until } from './open-test-house.ts';

const dawnMs = Date.UTC(2026, 3, 18, 6, 40);

type Turned = { deltaMs: number; known: boolean; keepEras: () => Promise<void> };

/** A machine whose clock is set by hand, and a writer in memory that refuses while told to. */
async function rig(o: { synchronised: boolean }) {
  const set = { nowMs: dawnMs, synchronised: o.synchronised, refuses: false };
  const eras: { offsetMs: number; known: boolean }[] = [];
  const refuse = () => {
    if (set.refuses) throw new Error('the disk is full');
  };
  const clock = await openEraClock({
    trust: 'synchronised',
    everyMs: 2,
    system: { nowMs: () => set.nowMs, steadyMs: () => 0, isSynchronised: async () => set.synchronised },
    writer: {
      openEra: async ({ offsetMs, known }) => {
        refuse();
        return eras.push({ offsetMs, known });
      },
      learnEra: async ({ era, offsetMs, known }) => {
        refuse();
        eras[era - 1] = { offsetMs, known };
      },
    },
  });
  onTestFinished(clock.close);
  const turns: Turned[] = [];
  clock.follow((turn, keepEras) => turns.push({ ...turn, keepEras }));
  const turned = async (count: number): Promise<Turned> => {
    await until(
      async () => turns.length,
      (length) => length >= count,
    );
    return turns[count - 1] as Turned;
  };
  return { set, eras, clock, turned };
}

describe('the clock with its eras', () => {
  it('opens an era for this run, and another where somebody sets the clock', async () => {
    const { set, eras, clock, turned } = await rig({ synchronised: true });
    expect([eras, clock.era()]).toEqual([[{ offsetMs: dawnMs, known: true }], 1]);
    set.nowMs += 90_000;
    const { deltaMs, known, keepEras } = await turned(1);
    expect({ deltaMs, known }).toEqual({ deltaMs: 90_000, known: true });
    await keepEras();
    expect(eras[1]).toEqual({ offsetMs: dawnMs + 90_000, known: true });
    expect(clock.era()).toBe(2);
  });

  it('lets every era of this run learn its offset when the time becomes known', async () => {
    const { set, eras, clock, turned } = await rig({ synchronised: false });
    set.nowMs += 5_000;
    await (await turned(1)).keepEras();
    set.nowMs += 3_600_000;
    set.synchronised = true;
    // The jump is seen before the machine is asked again; then the time is known with no further one.
    await (await turned(2)).keepEras();
    await (await turned(3)).keepEras();
    const offsetMs = dawnMs + 3_605_000;
    expect(eras).toEqual(Array(3).fill({ offsetMs, known: true }));
    expect(clock.era()).toBe(3);
  });

  it('keeps the same eras when it is tried again after the disk refused', async () => {
    const { set, eras, clock, turned } = await rig({ synchronised: false });
    set.synchronised = true;
    const { keepEras } = await turned(1);
    set.refuses = true;
    await expect(keepEras()).rejects.toThrow('the disk is full');
    set.refuses = false;
    await keepEras();
    expect(eras).toEqual([{ offsetMs: dawnMs, known: true }]);
    expect(clock.era()).toBe(1);
  });
});
