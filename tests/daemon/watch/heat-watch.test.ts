import { describe, expect, it } from 'vitest';
import { openDice } from '../../skill/dice.ts';
import { layersPot } from '../../skill/pot/stove-layers.ts';
import { minute, openPotHouse, type PotHouse, startMs } from './pot-house.ts';

/** A pot that climbs from `fromC` by `pace` °C a minute once its coil is warm. */
const climb = (atS: number, fromC = 15, pace = 2.5) => {
  const min = Math.max(0, atS / 60 - 0.5);
  return fromC + pace * (min - 0.4 * (1 - Math.exp(-min / 0.4)));
};

function climbing(o: Parameters<typeof openPotHouse>[0], word: object, toS: number): PotHouse {
  const house = openPotHouse(o);
  house.say({ kind: 'heat-begin', probe: 'pot', ...word } as never);
  for (let atS = 0; atS <= toS; atS += 5) house.read(atS, climb(atS));
  return house;
}

describe('a heat', () => {
  it('foretells when it is at its target, and says so when it is', () => {
    const half = climbing({}, { limitC: 75 }, 720);
    const crossing = half.heat()?.outlook?.crossing;
    // 75 °C at (75 - 15) / 2.5 + 0.5 + 0.4 min.
    const truthMs = startMs + 24.9 * minute;
    expect(Math.abs((crossing?.p50 ?? 0) - truthMs) / (12.9 * minute)).toBeLessThan(0.1);
    const house = climbing({}, { limitC: 75 }, 1700);
    const codes = house.kinds().filter((kind) => kind.startsWith('heat-') && kind !== 'heat-turned');
    expect(codes).toEqual(
      ['heat-stir', 'heat-near', 'heat-off-now', 'heat-reached', 'heat-over'].filter((code) =>
        codes.includes(code as never),
      ),
    );
    expect(codes).toContain('heat-near');
    expect(codes).toContain('heat-off-now');
    expect(codes).toContain('heat-reached');
    expect(Math.abs((house.last('heat-reached')?.body.crossedAtMs ?? 0) - truthMs)).toBeLessThan(6_000);
  });

  it('says early that it levels off without a lid, and that a lid would do', () => {
    const house = openPotHouse({ volumeL: 2 });
    house.say({ kind: 'heat-begin', probe: 'pot', limitC: 90 });
    // Levels off at 68 °C, half of the way after 12 min.
    for (let atS = 0; atS <= 3600; atS += 5) house.read(atS, 68 - 46 * Math.exp(-atS / 1100));
    const short = house.last('heat-will-not-reach');
    expect(short?.body).toMatchObject({ short: 'levels-off', weight: 'warn' });
    expect(((short?.atMs ?? 0) - startMs) / minute).toBeLessThan(30);
    expect(Math.abs((short?.body.level.p50 ?? 0) - 68)).toBeLessThan(8);
    expect(house.events.filter(({ kind }) => kind === 'heat-will-not-reach')).toHaveLength(1);
  });

  it('says at once that a target lies over the boil of the house', () => {
    const house = climbing({ heightM: 2500 }, { limitC: 95 }, 60);
    const short = house.last('heat-will-not-reach');
    expect(short?.body.short).toBe('boils-below');
    // IAPWS-IF97 and the US Standard Atmosphere: 91.648 °C for water at 2,500 m.
    expect(Math.abs((short?.body.boilsC ?? 0) - 91.8)).toBeLessThan(0.1);
    expect(((short?.atMs ?? 0) - startMs) / minute).toBeLessThan(1.5);
  });

  it('notices within two minutes that the burner was turned down', () => {
    const house = openPotHouse();
    house.say({ kind: 'heat-begin', probe: 'pot', limitC: 85 });
    for (let atS = 0; atS <= 900; atS += 5) {
      house.read(atS, climb(Math.min(atS, 600)) + Math.max(0, atS - 600) * (1 / 60));
    }
    const turned = house.last('heat-turned');
    expect(((turned?.atMs ?? 0) - startMs) / 1000 - 600).toBeLessThan(150);
    expect(Math.abs((house.heat()?.outlook?.rateCPerMin ?? 0) - 1)).toBeLessThan(0.15);
  });

  it('opens the hold that follows by itself, with its clock from the first reading at the target', () => {
    const house = openPotHouse();
    house.say({ kind: 'heat-begin', probe: 'pot', limitC: 63, holdAfter: { holdMs: 600_000 } });
    for (let atS = 0; atS <= 2400; atS += 5) house.read(atS, Math.min(64, climb(atS)));
    const opened = house.events.filter((event) => event.kind === 'watch-opened');
    expect(opened.map(({ body }) => body.watch)).toEqual(['heat-pot-1', expect.stringMatching(/^hold-pot-/)]);
    const { proof } = house.last('hold-proved')?.body ?? {};
    expect(proof && proof.toMs - proof.fromMs).toBe(600_000);
    expect(house.last('heat-reached')?.body.crossedAtMs).toBe(proof?.fromMs);
  });

  it('takes the boil of its house as a target, and lets the hold simmer under it', () => {
    const house = climbing({ heightM: 1420 }, { toBoil: true, holdAfter: { holdMs: 60_000 } }, 60);
    const { window } = house.heat() ?? {};
    expect(window?.toBoil).toBe(true);
    expect(window?.limitC).toBeCloseTo(94.71, 1);
    for (let atS = 65; atS <= 2400; atS += 5) house.read(atS, Math.min(95.2, climb(atS)));
    expect(house.last('hold-proved')?.body.window.lowC).toBeCloseTo(93.91, 1);
  });

  it('goes on the same after a crash at any minute', () => {
    const run = (crashes: boolean) => {
      const house = openPotHouse({ uncertaintyC: 0.3 });
      house.say({ kind: 'heat-begin', probe: 'pot', limitC: 63, holdAfter: { holdMs: 300_000 } });
      for (let atS = 0; atS <= 1900; atS += 5) {
        house.read(atS, Math.min(65, climb(atS)) + 0.05 * Math.sin(atS));
        if (crashes && atS % 60 === 0) house.crash();
      }
      return house.events;
    };
    expect(run(true)).toEqual(run(false));
  });

  it('keeps its state small and costs little for a reading', () => {
    const scene = {
      population: 1,
      lid: true,
      knobTurned: false,
      touching: false,
      heightM: 1420,
      volumeL: 8,
      targetC: 88,
    } as const;
    const world = layersPot(openDice(7, 7), scene);
    const house = openPotHouse({ heightM: 1420, volumeL: 8 });
    house.say({ kind: 'heat-begin', probe: 'pot', limitC: 88 });
    for (let count = 0; count < 400; count++) {
      const { atMs, tempC } = world.next(false);
      house.read(atMs / 1000, tempC);
    }
    expect(JSON.stringify(house.heat()).length).toBeLessThan(40_000);
  });
});
