/** How much cold water it takes. */

/** Heat of a litre of water between 5 and 20 °C, kJ/K: 1.000 kg/L by 4.19 kJ/kgK (IAPWS-95). */
const waterKJPerLK = 4.19;

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
  return heatKJ / (waterKJPerLK * of.warmsK);
}
