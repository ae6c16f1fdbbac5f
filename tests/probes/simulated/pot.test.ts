import { describe, expect, it } from 'vitest';
import { airAt } from '../../../probes/simulated/fluids.ts';
import { networkOf, reservoir, tempC } from '../../../probes/simulated/heat-network.ts';
import { setUpPot } from '../../../probes/simulated/pot.ts';

function potOf(o: { lid: boolean; volumeL?: number; startC?: number }) {
  const room = reservoir(() => 20);
  const build = { volumeL: 4, copperKg: 3, diameterM: 0.28, startC: 20, ...o };
  const pot = setUpPot({ ...build, room, air: airAt(0) });
  return { room, pot, advance: networkOf(pot.links) };
}

describe('a pot on a burner', () => {
  it('gains what the burner gives, less what the room gets', () => {
    const { room, pot, advance } = potOf({ lid: false });
    const beforeJ = pot.milk.heatJ;
    pot.setBurnerW(500);
    for (let second = 0; second < 1800; second += 1) advance(1);
    expect(pot.milk.heatJ - beforeJ + room.heatJ).toBeCloseTo(500 * 1800, 3);
    expect(room.heatJ).toBeGreaterThan(0);
  });

  it('levels off without a lid, higher with one', () => {
    const levelC = (lid: boolean) => {
      const { pot, advance } = potOf({ lid, volumeL: 1 });
      pot.setBurnerW(150);
      for (let second = 0; second < 10 * 3600; second += 1) advance(1);
      const before = tempC(pot.milk);
      for (let second = 0; second < 600; second += 1) advance(1);
      expect(tempC(pot.milk) - before).toBeLessThan(0.05);
      return tempC(pot.milk);
    };
    const open = levelC(false);
    expect(open).toBeGreaterThan(45);
    expect(open).toBeLessThan(75);
    expect(levelC(true)).toBeGreaterThan(open + 5);
  });

  it('evaporates about as much as the classic equation for still air has it', () => {
    // Carrier 1918, as in ASHRAE's handbooks: 89 W/m² of latent heat for each kPa of vapour pressure.
    const { room, advance } = potOf({ lid: false, startC: 60 });
    advance(1);
    const open = room.heatJ;
    const covered = potOf({ lid: true, startC: 60 });
    covered.advance(1);
    const evaporationWPerM2 = (open - covered.room.heatJ) / ((Math.PI / 4) * 0.28 ** 2);
    expect(evaporationWPerM2 / (89 * (19.9 - 1.2))).toBeGreaterThan(0.6);
    expect(evaporationWPerM2 / (89 * (19.9 - 1.2))).toBeLessThan(1.4);
  });
});
