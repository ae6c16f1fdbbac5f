import { describe, expect, it } from 'vitest';
import { airAt, milk, water } from '../../../probes/simulated/fluids.ts';

describe('the fluids', () => {
  it('have the published values of water within 0.5 %', () => {
    // IAPWS-95: density, conductivity and viscosity at 20 and 63 °C.
    expectWithin(water.density(20), 998.206, 0.00001);
    expectWithin(water.conductivity(20), 0.598, 0.005);
    expectWithin(water.viscosity(20), 1.0016e-3 / 998.206, 0.005);
    expectWithin(water.viscosity(63), 4.457e-4 / 981.64, 0.005);
  });

  it('have the published values of whole milk within 1.5 %', () => {
    // Goff, University of Guelph: density of producer milk. Choi & Okos 1986: diffusivity at 20 °C.
    expectWithin(milk.density(4.4), 1035, 0.001);
    expectWithin(milk.density(38.9), 1023, 0.001);
    expectWithin(milk.diffusivity(20), 1.4192e-7, 0.015);
  });

  it('have the published values of air within 1 %, thinner on a hill', () => {
    // Çengel, table A-15, at 20 °C and 1 atm.
    const low = airAt(0);
    expectWithin(low.density(20), 1.204, 0.005);
    expectWithin(low.viscosity(20), 1.516e-5, 0.01);
    expectWithin(low.diffusivity(20), 2.074e-5, 0.01);
    // US Standard Atmosphere 1976: 84,559.7 Pa at 1,500 m against 101,325 Pa.
    expectWithin(airAt(1500).density(20) / low.density(20), 84_559.7 / 101_325, 0.001);
  });

  it('are densest at 4 °C only where it is water', () => {
    expect(water.density(4)).toBeGreaterThan(water.density(0));
    expect(milk.density(4)).toBeLessThan(milk.density(0));
  });
});

function expectWithin(got: number, published: number, share: number): void {
  expect(Math.abs(got / published - 1)).toBeLessThan(share);
}
