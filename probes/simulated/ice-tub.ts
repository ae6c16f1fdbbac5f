import { waterJPerKgK } from './fluids.ts';
import { type Body, conduction, type Freezing, freezingBody, type Link, solidKg } from './heat-network.ts';

/** J/kg: melting of ice at 0 °C and 1 atm (IAPWS: 333.42 kJ/kg). */
export const iceLatentJPerKg = 333_400;

/** A tub of water and ice: at 0 °C while there is ice, warming once it is gone. */
export type IceTub = { bath: Body; iceLeftKg(): number };

/** Fills a tub; `startC` is that of the water where there is no ice. */
export function fillTub(o: { waterKg: number; iceKg: number; startC: number }): IceTub {
  const of: Freezing = {
    massKg: o.waterKg + o.iceKg,
    freezesC: 0,
    latentJPerKg: iceLatentJPerKg,
    liquidJPerKgK: waterJPerKgK,
    solidJPerKgK: 2097,
  };
  const bath = freezingBody({ ...of, startC: o.startC, solidKg: o.iceKg });
  return { bath, iceLeftKg: () => solidKg(bath, of) };
}

/** Links the tub to the room through its wall and open top, at a constant conductance. */
export function roomToTub(tub: IceTub, room: Body, wPerK: number): Link {
  return { from: room, to: tub.bath, watts: conduction(wPerK) };
}
