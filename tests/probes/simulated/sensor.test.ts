import { describe, expect, it } from 'vitest';
import { openRandom } from '../../../probes/simulated/random.ts';
import { lagS, makeSensor, steelTube } from '../../../probes/simulated/sensor.ts';

const exact = { biasC: 0, noiseC: 0, stepC: 0.0625 };
const random = () => openRandom(1, 'sensor');

describe('a sensor', () => {
  it('covers 63.2 % of a step in one lag, in however many spans', () => {
    for (const spanS of [lagS.liquid, 1, 0.25]) {
      const sensor = makeSensor({ ...exact, stepC: 1e-6 }, { startC: 25, random: random() });
      for (let atS = 0; atS < lagS.liquid; atS += spanS)
        sensor.follow({ mediumC: 2.3, lagS: lagS.liquid, spanS });
      expect(sensor.read()).toBeCloseTo(25 - (25 - 2.3) * (1 - Math.exp(-1)), 4);
    }
  });

  it('plunged from 25 into 2.3 °C is within half a degree after about a minute, as a steel tube is', () => {
    const sensor = makeSensor(exact, { startC: 25, random: random() });
    let atS = 0;
    for (; sensor.read() > 2.8; atS += 1) sensor.follow({ mediumC: 2.3, lagS: lagS.liquid, spanS: 1 });
    expect(atS).toBeGreaterThan(30);
    expect(atS).toBeLessThan(82);
  });

  it('reads whole steps of a sixteenth of a degree', () => {
    const sensor = makeSensor(steelTube, { startC: 4.4, random: random() });
    for (let count = 0; count < 200; count += 1) expect(sensor.read() % 0.0625).toBe(0);
  });

  it('reads its bias and scatters by its noise', () => {
    const build = { biasC: 0.2, noiseC: 0.1, stepC: 0.0625 };
    const sensor = makeSensor(build, { startC: 10, random: random() });
    const readings = Array.from({ length: 4000 }, () => sensor.read());
    const mean = readings.reduce((sum, tempC) => sum + tempC, 0) / readings.length;
    const square = readings.reduce((sum, tempC) => sum + (tempC - mean) ** 2, 0) / readings.length;
    expect(mean).toBeCloseTo(10.2, 2);
    // Steps of width w add w²/12 to the variance.
    expect(Math.sqrt(square)).toBeCloseTo(Math.sqrt(0.1 ** 2 + 0.0625 ** 2 / 12), 2);
  });
});
