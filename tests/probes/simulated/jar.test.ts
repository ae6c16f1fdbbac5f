import { describe, expect, it } from 'vitest';
import { chestFreezer, larderFridge, setUpColdBox } from '../../../probes/simulated/cold-box.ts';
import { airAt } from '../../../probes/simulated/fluids.ts';
import { type Link, networkOf, reservoir, tempC } from '../../../probes/simulated/heat-network.ts';
import { fillTub, roomToTub } from '../../../probes/simulated/ice-tub.ts';
import { fillJar, type Jar, milkToWall, wallToAir, wallToWater } from '../../../probes/simulated/jar.ts';

/** 40 °F. */
const limitC = 40 / 1.8 - 32 / 1.8;
const room = reservoir(() => 18);
const air = airAt(1420);

/** Chills a quart jar of 35 °C and returns the milk's temperature at each minute from 0 on. */
function minutesOf(
  place: (jar: Jar) => { links: Link[]; look?: () => void },
  minutes: number,
  volumeL = 0.95,
) {
  const jar = fillJar({ volumeL, milkC: 35, glassC: 35 });
  const { links, look } = place(jar);
  const advance = networkOf([milkToWall(jar), ...links]);
  const temps = [tempC(jar.milk)];
  for (let second = 1; second <= minutes * 60; second += 1) {
    look?.();
    advance(1);
    if (second % 60 === 0) temps.push(tempC(jar.milk));
  }
  return temps;
}

const inTub = (streamMPerS: number) => (jar: Jar) => {
  const tub = fillTub({ waterKg: 4, iceKg: 2.5, startC: 0 });
  return { links: [wallToWater(jar, tub.bath, () => streamMPerS), roomToTub(tub, room, 1.2)] };
};

const inBox = (build: typeof chestFreezer) => (jar: Jar) => {
  const box = setUpColdBox(build, room);
  return { links: [wallToAir(jar, box.air, air), ...box.links], look: () => box.look(false) };
};

const inStillAir = (airC: number) => (jar: Jar) => ({
  links: [
    wallToAir(
      jar,
      reservoir(() => airC),
      air,
    ),
  ],
});

const crossing = (temps: readonly number[]) => temps.findIndex((milkC) => milkC <= limitC);

describe('a jar of 0.95 L from 35 °C', () => {
  it('does not make 40 °F within the hour in a chest freezer', () => {
    // M. J. Toth's table has about 105 minutes in a freezer for a container and a start that it does not state.
    const minutes = crossing(minutesOf(inBox(chestFreezer), 180));
    expect(minutes).toBeGreaterThan(85);
    expect(minutes).toBeLessThan(150);
  });

  it('makes 40 °F well within the hour in a stirred ice bath, later in a still one', () => {
    const stirred = crossing(minutesOf(inTub(0.05), 60));
    const still = crossing(minutesOf(inTub(0), 60));
    expect(stirred).toBeGreaterThan(12);
    expect(stirred).toBeLessThan(still);
    expect(still).toBeLessThan(50);
  });

  it('is far from 40 °F after three hours in a fridge', () => {
    // M. J. Toth's table: 51 °F after 180 minutes.
    const temps = minutesOf(inBox(larderFridge), 180);
    expect(temps.at(-1)).toBeGreaterThan(9);
    expect(temps.at(-1)).toBeLessThan(18);
  });

  it('slows down more than one exponential as it nears the bath', () => {
    const temps = minutesOf(inTub(0), 60);
    const halvingMinutes = [35, 17.5, 8.75, 4.375].map((milkC) => temps.findIndex((t) => t <= milkC));
    const spans = halvingMinutes.slice(1).map((minute, index) => minute - (halvingMinutes[index] ?? 0));
    expect(spans).toEqual([...spans].sort((a, b) => a - b));
    expect((spans[2] ?? 0) / (spans[0] ?? 1)).toBeGreaterThan(1.1);
  });
});

describe('a jar', () => {
  it('cools slower the more it holds', () => {
    const hourC = (volumeL: number) => minutesOf(inStillAir(-18), 60, volumeL).at(-1) ?? 0;
    expect(hourC(0.5)).toBeLessThan(hourC(0.95));
    expect(hourC(0.95)).toBeLessThan(hourC(1.9));
  });

  it('stays at the freezing point of milk while it freezes', () => {
    const temps = minutesOf(inStillAir(-20), 300);
    expect(temps.at(-1)).toBe(-0.53);
    expect(Math.min(...temps)).toBe(-0.53);
  });

  it('comes to the temperature of still air and no further', () => {
    const temps = minutesOf(inStillAir(4), 48 * 60, 0.25);
    expect(temps.at(-1)).toBeCloseTo(4, 1);
    expect(Math.min(...temps)).toBeGreaterThanOrEqual(4);
  });

  it('has the size of the glass on the shelf', () => {
    const jar = fillJar({ volumeL: 0.95, milkC: 35, glassC: 35 });
    expect((Math.PI / 4) * jar.diameterM ** 2 * jar.depthM).toBeCloseTo(0.95e-3, 9);
    expect(jar.diameterM).toBeCloseTo(0.089, 3);
    // A quart preserving jar weighs some 0.4 kg (common practice, no source).
    expect(1 / jar.wall.tempAt(1) / 840).toBeCloseTo(0.4, 1);
  });
});
