import { freeFilm, radiantFilm } from './convection.ts';
import { type Fluid, milkJPerKgK } from './fluids.ts';
import { type Body, type Link, plainBody, reservoir } from './heat-network.ts';

/** A pot of milk on a burner, stirred enough to be at one temperature. */
export type Pot = { milk: Body; links: Link[]; setBurnerW(watts: number): void };

/** J/(kg·K) of copper. */
const copperJPerKgK = 385;
const tarnishedEmissivity = 0.6;
/** J/kg evaporated near 60 °C (IAPWS: 2,358 kJ/kg). */
const vapourJPerKg = 2_358_000;

/**
 * Sets a pot up in a room. It loses heat from its side by free convection and radiation, and without a lid also
 * from the milk's surface, mostly by evaporation (Lewis's relation between heat and mass transfer; the room's
 * air at half its saturation). Steam at the boil is not modelled: keep it under 95 °C.
 */
export function setUpPot(o: {
  volumeL: number;
  copperKg: number;
  diameterM: number;
  lid: boolean;
  startC: number;
  room: Body;
  air: Fluid;
}): Pot {
  const capacityJPerK = o.volumeL * 1.03 * milkJPerKgK + o.copperKg * copperJPerKgK;
  const milk = plainBody({ capacityJPerK, startC: o.startC });
  const topM2 = (Math.PI * o.diameterM ** 2) / 4;
  const depthM = Math.max(0.02, o.volumeL / 1000 / topM2);
  const sideM2 = Math.PI * o.diameterM * depthM;
  let burnerW = 0;
  const side = (milkC: number, roomC: number) => {
    const free = freeFilm({ fluid: o.air, surfaceC: milkC, bulkC: roomC, heightM: depthM });
    const radiant = radiantFilm({ surfaceC: milkC, aroundC: roomC, emissivity: tarnishedEmissivity });
    return (free + radiant) * sideM2 * (milkC - roomC);
  };
  const top = (milkC: number, roomC: number) => {
    const free = freeFilm({ fluid: o.air, surfaceC: milkC, bulkC: roomC, heightM: o.diameterM / 4 });
    // A lid keeps the vapour in and its metal loses heat as the side does.
    return free * topM2 * (o.lid ? milkC - roomC : milkC - roomC + vapourDriveK(milkC, roomC, o.air));
  };
  const flame = reservoir(() => 1000);
  return {
    milk,
    links: [
      { from: flame, to: milk, watts: () => burnerW },
      { from: milk, to: o.room, watts: side },
      { from: milk, to: o.room, watts: top },
    ],
    setBurnerW: (watts) => {
      burnerW = watts;
    },
  };
}

/** The evaporation from a free surface, as the kelvins of dry heat that carry as much (Lewis number 1). */
function vapourDriveK(surfaceC: number, roomC: number, air: Fluid): number {
  const vapourKgPerM3 = vapourDensity(surfaceC) - 0.5 * vapourDensity(roomC);
  return (Math.max(0, vapourKgPerM3) * vapourJPerKg) / (air.density((surfaceC + roomC) / 2) * 1006);
}

/** Saturated water vapour in kg/m³, by Magnus's formula with the constants of Alduchov & Eskridge 1996. */
function vapourDensity(tempC: number): number {
  const pressurePa = 610.94 * Math.exp((17.625 * tempC) / (tempC + 243.04));
  return pressurePa / (461.5 * (tempC + 273.15));
}
