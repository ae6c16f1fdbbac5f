/** The baths of population 1 as people make them: one lump of water, its ice melts by its surface. */
import type { Act } from './act.ts';

const meltJPerKg = 333_400;
const waterJPerKgK = 4190;

/** A bath in which heat is put and time passes. */
export type LumpedBath = { step(heatW: number, stepS: number): void; tempC(): number };

/** Opens the bath of an act: its cold water, or its ice in water from the tap. */
export function openLumpedBath(
  act: Act,
  { withIce, roomC }: { withIce: boolean; roomC: number },
): LumpedBath {
  const { dice } = act;
  const waterKg = withIce ? act.bathWaterKg : act.coldWaterKg;
  let iceKg = withIce ? act.iceKg : 0;
  let bathC = act.tapC;
  const meltWPerK = dice.logBetween(110, 900) * (act.stirEveryS === null ? 1 : 1.5);
  const gainWPerK = dice.between(1, 5) * Math.sqrt(waterKg);
  return {
    tempC: () => bathC,
    step: (heatW, stepS) => {
      const perK = meltWPerK * iceKg ** (2 / 3);
      const meltW = iceKg > 0 ? Math.max(0, perK * bathC) : 0;
      iceKg = Math.max(0, iceKg - (meltW * stepS) / meltJPerKg);
      const intoW = heatW + gainWPerK * (roomC - bathC) - meltW;
      bathC += (intoW * stepS) / (waterKg * waterJPerKgK + perK * stepS);
    },
  };
}
