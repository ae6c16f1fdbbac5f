import { milkFreezesC } from '../../shared/dairy/milk-freezing.ts';
import { freeFilm, radiantFilm, stirredFilm } from './convection.ts';
import { type Fluid, milk, milkJPerKgK, water } from './fluids.ts';
import { type Body, type Freezing, freezingBody, type Link, plainBody } from './heat-network.ts';

/** A glass jar of milk: the milk, well mixed by its own convection, and the wall that it touches. */
export type Jar = {
  milk: Body;
  wall: Body;
  diameterM: number;
  /** How high the milk stands. */
  depthM: number;
  /** Of the wall that the milk touches: side and base. The lid and the air under it are left out. */
  areaM2: number;
};

/** W/(m·K), J/(kg·K) and kg/m³ of soda-lime glass; the wall as thick as that of a preserving jar. */
const glass = { conductivity: 1.0, heatJPerKgK: 840, density: 2500, thickM: 0.003 };
const glassEmissivity = 0.92;

/** Returns a volume of whole milk; below freezing as in ASHRAE's Refrigeration Handbook 2006, ch. 9, table 3. */
export function milkOf(volumeL: number): Freezing {
  return {
    massKg: volumeL * 1.03,
    freezesC: milkFreezesC,
    latentJPerKg: 293_000,
    liquidJPerKgK: milkJPerKgK,
    solidJPerKgK: 1810,
  };
}

/** Fills an upright glass jar; milk stands 1.7 times as high as it is wide, as in a quart preserving jar. */
export function fillJar(o: { volumeL: number; milkC: number; glassC: number }): Jar {
  const diameterM = ((4 * o.volumeL) / 1000 / (Math.PI * 1.7)) ** (1 / 3);
  const depthM = 1.7 * diameterM;
  const areaM2 = Math.PI * diameterM * depthM + (Math.PI * diameterM ** 2) / 4;
  const glassKg = areaM2 * glass.thickM * glass.density;
  return {
    milk: freezingBody({ ...milkOf(o.volumeL), startC: o.milkC, solidKg: 0 }),
    wall: plainBody({ capacityJPerK: glassKg * glass.heatJPerKgK, startC: o.glassC }),
    diameterM,
    depthM,
    areaM2,
  };
}

/** Links the milk to its wall: free convection inside, then half the thickness of the glass. */
export function milkToWall(jar: Jar): Link {
  const film = (bulkC: number, surfaceC: number) =>
    freeFilm({ fluid: milk, surfaceC, bulkC, heightM: jar.depthM });
  return { from: jar.milk, to: jar.wall, watts: throughFilm(jar, film) };
}

/** Links the wall to still air: free convection and radiation to surroundings as warm as the air. */
export function wallToAir(jar: Jar, air: Body, fluid: Fluid): Link {
  const film = (aroundC: number, surfaceC: number) =>
    freeFilm({ fluid, surfaceC, bulkC: aroundC, heightM: jar.depthM }) +
    radiantFilm({ surfaceC, aroundC, emissivity: glassEmissivity });
  return { from: air, to: jar.wall, watts: throughFilm(jar, film) };
}

/**
 * Links the wall to water up to the milk's level. Stirring and buoyancy add as cubes (Churchill's rule,
 * AIChE J. 23:10, 1977); a stream of 0 m/s is water at rest.
 */
export function wallToWater(jar: Jar, bath: Body, streamMPerS: () => number): Link {
  const film = (bulkC: number, surfaceC: number) => {
    const free = freeFilm({ fluid: water, surfaceC, bulkC, heightM: jar.depthM });
    const stream = streamMPerS();
    if (stream <= 0) return free;
    const at = { fluid: water, surfaceC, bulkC, diameterM: jar.diameterM, streamMPerS: stream };
    return Math.cbrt(free ** 3 + stirredFilm(at) ** 3);
  };
  return { from: bath, to: jar.wall, watts: throughFilm(jar, film) };
}

/** Heat from a fluid to the middle of the glass. The film depends on the surface, which is found in two rounds. */
function throughFilm(jar: Jar, film: (fluidC: number, surfaceC: number) => number) {
  const glassM2KPerW = glass.thickM / 2 / glass.conductivity;
  return (fluidC: number, wallC: number): number => {
    const first = film(fluidC, wallC);
    const share = glassM2KPerW / (glassM2KPerW + 1 / first);
    const surfaceC = wallC + (fluidC - wallC) * share;
    return ((fluidC - wallC) * jar.areaM2) / (glassM2KPerW + 1 / film(fluidC, surfaceC));
  };
}
