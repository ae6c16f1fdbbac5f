/** How much ice it takes. */
import { waterKJPerKgK } from './water-balance.ts';

/** Heat that ice takes up in melting at 0 °C, kJ/kg: IAPWS-2006 ice and IAPWS-95. */
export const iceMeltKJPerKg = 333.42;

/**
 * Ice in kg that cools `milkKg` of milk from `fromC` to `toC` where its melt water leaves at `toC`; a least
 * amount: nothing for the vessel, the water that the ice lies in, or the room.
 */
export function iceForMilkKg(of: {
  milkKg: number;
  heatKJPerKgK: number;
  fromC: number;
  toC: number;
}): number {
  const heatKJ = of.milkKg * of.heatKJPerKgK * Math.max(0, of.fromC - of.toC);
  return heatKJ / (iceMeltKJPerKg + waterKJPerKgK * Math.max(0, of.toC));
}
