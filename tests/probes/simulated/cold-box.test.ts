import { describe, expect, it } from 'vitest';
import { chestFreezer, larderFridge, setUpColdBox } from '../../../probes/simulated/cold-box.ts';
import { networkOf, reservoir, tempC } from '../../../probes/simulated/heat-network.ts';

/** Runs a box for a day in a room and returns what a logger would say of it. */
function dayOf(build: typeof larderFridge, o: { roomC: number; doorOpen?: (second: number) => boolean }) {
  const room = reservoir(() => o.roomC);
  const box = setUpColdBox(build, room);
  const advance = networkOf(box.links);
  const day = { onS: 0, starts: 0, lowC: Infinity, highC: -Infinity };
  let was = box.isRunning();
  for (let second = 0; second < 86_400; second += 1) {
    box.look(o.doorOpen?.(second) ?? false);
    if (box.isRunning() && !was) day.starts += 1;
    was = box.isRunning();
    day.onS += was ? 1 : 0;
    advance(1);
    day.lowC = Math.min(day.lowC, tempC(box.air));
    day.highC = Math.max(day.highC, tempC(box.air));
  }
  return { ...day, duty: day.onS / 86_400, leakedJ: -room.heatJ };
}

describe.each([
  ['larder fridge', larderFridge],
  ['chest freezer', chestFreezer],
])('the %s', (_name, build) => {
  it('runs a plausible part of the day in plausible cycles', () => {
    // Common practice, no source: a third of the time in a cool room, one to three starts an hour.
    const day = dayOf(build, { roomC: 18 });
    expect(day.duty).toBeGreaterThan(0.15);
    expect(day.duty).toBeLessThan(0.55);
    expect(day.starts).toBeGreaterThan(20);
    expect(day.starts).toBeLessThan(80);
  });

  it('takes out over a day what leaked in', () => {
    const day = dayOf(build, { roomC: 18 });
    const meanC = (build.startsAtC + build.stopsAtC) / 2;
    expect(day.duty * build.coolingW).toBeCloseTo(build.wallWPerK * (18 - meanC), -0.5);
  });

  it('keeps its air between the points of its thermostat', () => {
    const { lowC, highC } = dayOf(build, { roomC: 18 });
    expect(lowC).toBeGreaterThan(build.stopsAtC - 0.1);
    expect(highC).toBeLessThan(build.startsAtC + 0.1);
  });

  it('runs longer in a hot room, and with its door open for a minute each quarter of an hour', () => {
    const duty = dayOf(build, { roomC: 18 }).duty;
    expect(dayOf(build, { roomC: 28 }).duty).toBeGreaterThan(duty * 1.1);
    expect(dayOf(build, { roomC: 18, doorOpen: (s) => s % 900 < 60 }).duty).toBeGreaterThan(duty * 1.1);
  });
});
