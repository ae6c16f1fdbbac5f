import { describe, expect, it } from 'vitest';
import { networkOf, reservoir, tempC } from '../../../probes/simulated/heat-network.ts';
import { fillTub, iceLatentJPerKg, roomToTub } from '../../../probes/simulated/ice-tub.ts';
import { fillJar, milkToWall, wallToWater } from '../../../probes/simulated/jar.ts';

function chillInTub(iceKg: number, waterKg = 4) {
  const room = reservoir(() => 18);
  const jar = fillJar({ volumeL: 0.95, milkC: 35, glassC: 35 });
  const tub = fillTub({ waterKg, iceKg, startC: 0 });
  const fromJar = wallToWater(jar, tub.bath, () => 0.05);
  const advance = networkOf([milkToWall(jar), fromJar, roomToTub(tub, room, 1.2)]);
  return { room, jar, tub, advance };
}

describe('an ice tub', () => {
  it('melts as much ice as the heat it was given', () => {
    const { room, jar, tub, advance } = chillInTub(2.5);
    const jarJ = () => jar.milk.heatJ + jar.wall.heatJ;
    const beforeJ = jarJ();
    for (let second = 0; second < 3600; second += 1) advance(1);
    const givenJ = beforeJ - jarJ() - room.heatJ;
    expect(givenJ).toBeGreaterThan(100_000);
    expect((2.5 - tub.iceLeftKg()) * iceLatentJPerKg).toBeCloseTo(givenJ, 3);
    expect(tempC(tub.bath)).toBe(0);
  });

  it('needs the published mass of ice for a jar, give or take the glass and the room', () => {
    // m c (T1 - T2) / (333.4 + 4.19 T2): 0.98 kg of milk from 35 to 2 °C, melt water at 0 °C.
    const reckonedKg = (0.9785 * 3.888 * 33) / 333.4;
    const { jar, tub, advance } = chillInTub(2.5);
    let seconds = 0;
    for (; tempC(jar.milk) > 2; seconds += 1) advance(1);
    const glassKg = (jar.wall.tempAt(1) ** -1 * 33) / iceLatentJPerKg;
    const roomKg = (1.2 * 18 * seconds) / iceLatentJPerKg;
    expect(2.5 - tub.iceLeftKg()).toBeCloseTo(reckonedKg + glassKg + roomKg, 1);
  });

  it('warms once its ice is gone, and the milk stops above the limit', () => {
    const { jar, tub, advance } = chillInTub(0.1);
    let goneAtS = 0;
    let coldestC = Infinity;
    for (let second = 0; second < 7200; second += 1) {
      advance(1);
      coldestC = Math.min(coldestC, tempC(jar.milk));
      if (goneAtS === 0 && tub.iceLeftKg() === 0) goneAtS = second;
    }
    expect(goneAtS).toBeGreaterThan(60);
    expect(goneAtS).toBeLessThan(1800);
    expect(tempC(tub.bath)).toBeGreaterThan(5);
    expect(coldestC).toBeGreaterThan(40 / 1.8 - 32 / 1.8);
  });

  it('holds cold water as well as ice', () => {
    const tub = fillTub({ waterKg: 4, iceKg: 0, startC: 12 });
    expect([tempC(tub.bath), tub.iceLeftKg()]).toEqual([12, 0]);
  });
});
