import type { Fluid } from './fluids.ts';

const gravityMPerS2 = 9.80665;
const stefanBoltzmann = 5.670374e-8;
const zeroK = 273.15;

/** Returns the mean Nusselt number of a vertical surface at any Rayleigh number (Churchill & Chu 1975, Int. J. Heat Mass Transfer 18:1323). */
export function verticalNusselt(o: { rayleigh: number; prandtl: number }): number {
  const bend = (1 + (0.492 / o.prandtl) ** (9 / 16)) ** (8 / 27);
  return (0.825 + (0.387 * o.rayleigh ** (1 / 6)) / bend) ** 2;
}

/** Returns the mean Nusselt number of a cylinder across a flow, for Re·Pr over 0.2 (Churchill & Bernstein 1977, J. Heat Transfer 99:300). */
export function crossFlowNusselt(o: { reynolds: number; prandtl: number }): number {
  const bend = (1 + (0.4 / o.prandtl) ** (2 / 3)) ** (1 / 4);
  const turbulent = (1 + (o.reynolds / 282_000) ** (5 / 8)) ** (4 / 5);
  return 0.3 + ((0.62 * o.reynolds ** 0.5 * o.prandtl ** (1 / 3)) / bend) * turbulent;
}

/**
 * Returns the film coefficient in W/(m²·K) of free convection between an upright surface and a fluid at rest.
 * Buoyancy is the greatest difference of density between surface and bulk, which for water around 4 °C is not
 * the difference of their own densities.
 */
export function freeFilm(o: { fluid: Fluid; surfaceC: number; bulkC: number; heightM: number }): number {
  const filmC = (o.surfaceC + o.bulkC) / 2;
  const viscosity = o.fluid.viscosity(filmC);
  const diffusivity = o.fluid.diffusivity(filmC);
  const rayleigh = (gravityMPerS2 * buoyancy(o) * o.heightM ** 3) / (viscosity * diffusivity);
  const nusselt = verticalNusselt({ rayleigh, prandtl: viscosity / diffusivity });
  return (nusselt * o.fluid.conductivity(filmC)) / o.heightM;
}

/** Returns the film coefficient in W/(m²·K) of a stream across an upright cylinder. */
export function stirredFilm(o: {
  fluid: Fluid;
  surfaceC: number;
  bulkC: number;
  diameterM: number;
  streamMPerS: number;
}): number {
  const filmC = (o.surfaceC + o.bulkC) / 2;
  const viscosity = o.fluid.viscosity(filmC);
  const reynolds = (o.streamMPerS * o.diameterM) / viscosity;
  const nusselt = crossFlowNusselt({ reynolds, prandtl: viscosity / o.fluid.diffusivity(filmC) });
  return (nusselt * o.fluid.conductivity(filmC)) / o.diameterM;
}

/** Returns the film coefficient in W/(m²·K) that radiation between a body and what surrounds it amounts to. */
export function radiantFilm(o: { surfaceC: number; aroundC: number; emissivity: number }): number {
  const surfaceK = o.surfaceC + zeroK;
  const aroundK = o.aroundC + zeroK;
  return o.emissivity * stefanBoltzmann * (surfaceK ** 2 + aroundK ** 2) * (surfaceK + aroundK);
}

/** The greatest relative difference of density between the bulk and the fluid beside the surface. */
function buoyancy(o: { fluid: Fluid; surfaceC: number; bulkC: number }): number {
  const bulk = o.fluid.density(o.bulkC);
  const atSurface = Math.abs(o.fluid.density(o.surfaceC) - bulk) / bulk;
  const densestC = o.fluid.densestC;
  if (densestC === null || (o.surfaceC - densestC) * (o.bulkC - densestC) >= 0) return atSurface;
  return Math.max(atSurface, Math.abs(o.fluid.density(densestC) - bulk) / bulk);
}
