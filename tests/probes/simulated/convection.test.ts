import { describe, expect, it } from 'vitest';
import {
  crossFlowNusselt,
  freeFilm,
  radiantFilm,
  stirredFilm,
  verticalNusselt,
} from '../../../probes/simulated/convection.ts';
import { airAt, milk, water } from '../../../probes/simulated/fluids.ts';

describe('the correlations', () => {
  it('give the textbook heat of a hot vertical pane', () => {
    // Incropera & DeWitt, example 9.2: Ra 1.813e9, Pr 0.690, Nu 147.
    expect(verticalNusselt({ rayleigh: 1.813e9, prandtl: 0.69 })).toBeCloseTo(147, 0);
  });

  it('give the textbook heat of a cylinder across a stream', () => {
    // Incropera & DeWitt, example 7.4: Re 6,071, Pr 0.70, Nu 40.6.
    expect(crossFlowNusselt({ reynolds: 6071, prandtl: 0.7 })).toBeCloseTo(40.6, 1);
  });

  it('give the textbook exchange of radiation at room temperature', () => {
    // 4 σ T³ at 300 K is 6.12 W/(m²·K) for a black body.
    expect(radiantFilm({ surfaceC: 26.85, aroundC: 26.85, emissivity: 1 })).toBeCloseTo(6.12, 2);
  });
});

describe('a film', () => {
  const heightM = 0.15;

  it('is weak in air, stronger in milk, and stronger yet in stirred water', () => {
    const air = freeFilm({ fluid: airAt(0), surfaceC: 25, bulkC: -18, heightM });
    const inMilk = freeFilm({ fluid: milk, surfaceC: 10, bulkC: 25, heightM });
    const still = freeFilm({ fluid: water, surfaceC: 10, bulkC: 0, heightM });
    const stirred = stirredFilm({
      fluid: water,
      surfaceC: 10,
      bulkC: 0,
      diameterM: 0.09,
      streamMPerS: 0.05,
    });
    // Ranges common to textbooks: free convection 2-25 in gases, 50-1,000 in liquids.
    expect(air).toBeGreaterThan(2);
    expect(air).toBeLessThan(25);
    expect(inMilk).toBeGreaterThan(100);
    expect(inMilk).toBeLessThan(500);
    expect(stirred).toBeGreaterThan(2 * still);
  });

  it('is weaker where the air is thinner', () => {
    const at = (heightAboveSeaM: number) =>
      freeFilm({ fluid: airAt(heightAboveSeaM), surfaceC: 25, bulkC: -18, heightM });
    expect(at(1420)).toBeLessThan(at(0));
  });

  it('does not stop where water at the wall and in the bath are equally dense on both sides of 4 °C', () => {
    const across = freeFilm({ fluid: water, surfaceC: 8, bulkC: 0, heightM });
    const noBuoyancy = (0.825 ** 2 * water.conductivity(4)) / heightM;
    expect(across).toBeGreaterThan(20 * noBuoyancy);
  });
});
