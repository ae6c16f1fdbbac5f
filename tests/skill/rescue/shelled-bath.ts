/** The baths of population 2 as people make them: water at the jar and water at the ice change places. */
import type { Act } from './act.ts';

/** A bath that lets time pass and returns °C at the jar. */
export type TwoPartBath = { film(overK: number): number; pass(heatW: number, stepS: number): number };

/** Opens the bath of an act: its cold water, or its ice in water from the tap. */
export function openTwoPartBath(
  act: Act,
  { withIce, roomC }: { withIce: boolean; roomC: number },
): TwoPartBath {
  const { dice } = act;
  const isStirred = act.stirEveryS !== null;
  const waterKg = withIce ? act.bathWaterKg : act.coldWaterKg;
  const turnoverWPerK = dice.logBetween(isStirred ? 120 : 25, isStirred ? 600 : 160) * Math.sqrt(waterKg);
  const meltWPerK = dice.logBetween(90, 700);
  const film = dice.logBetween(isStirred ? 300 : 60, isStirred ? 1000 : 220);
  const nearJPerK = 0.35 * waterKg * 4190;
  const farJPerK = 0.65 * waterKg * 4190;
  let iceJ = withIce ? 333_400 * act.iceKg : 0;
  let nearC = act.tapC;
  let farC = act.tapC;
  return {
    film: (overK) => (isStirred ? film : film * (Math.max(0.2, Math.abs(overK)) / 10) ** 0.27),
    pass: (heatW, stepS) => {
      const turnW = turnoverWPerK * (nearC - farC);
      const perK = iceJ > 0 ? meltWPerK * Math.min(1, iceJ / 150_000) : 0;
      const meltW = Math.max(0, perK * farC);
      iceJ = Math.max(0, iceJ - meltW * stepS);
      nearC += ((heatW - turnW + 1.5 * (roomC - nearC)) * stepS) / (nearJPerK + turnoverWPerK * stepS);
      farC += ((turnW - meltW + 1.5 * (roomC - farC)) * stepS) / (farJPerK + (turnoverWPerK + perK) * stepS);
      return nearC;
    },
  };
}
