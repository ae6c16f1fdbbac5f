/** The baths of population 2 as people make them. */
import { openTwoPartBath, type TwoPartBath } from '../two-part-bath.ts';
import type { Act } from './act.ts';

/** Opens the bath of an act: its cold water, or its ice in water from the tap. */
export function openActBath(act: Act, { withIce, roomC }: { withIce: boolean; roomC: number }): TwoPartBath {
  const { dice } = act;
  const isStirred = act.stirEveryS !== null;
  const waterKg = withIce ? act.bathWaterKg : act.coldWaterKg;
  const turnoverWPerK = dice.logBetween(isStirred ? 120 : 25, isStirred ? 600 : 160) * Math.sqrt(waterKg);
  const meltWPerK = dice.logBetween(90, 700);
  const film = dice.logBetween(isStirred ? 300 : 60, isStirred ? 1000 : 220);
  const iceJ = withIce ? 333_400 * act.iceKg : 0;
  const drawn = { waterKg, isStirred, turnoverWPerK, meltWPerK, film, iceJ, nearC: act.tapC, farC: act.tapC };
  return openTwoPartBath(drawn, roomC);
}
