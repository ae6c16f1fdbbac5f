/** How much cold water it takes. */

/** Specific heat of water between 0 and 20 °C, kJ/kgK: IAPWS-95, 4.21 to 4.18; a litre of it is 1.000 kg. */
export const waterKJPerKgK = 4.19;

/**
 * Cold water in litres that takes up what `milkKg` of milk gives off from `fromC` to `toC` and warms by `warmsK`
 * (above 0) meanwhile; a least amount: nothing for the vessel or the room.
 */
export function waterForMilkL(of: {
  milkKg: number;
  heatKJPerKgK: number;
  fromC: number;
  toC: number;
  warmsK: number;
}): number {
  const heatKJ = of.milkKg * of.heatKJPerKgK * Math.max(0, of.fromC - of.toC);
  return heatKJ / (waterKJPerKgK * of.warmsK);
}
