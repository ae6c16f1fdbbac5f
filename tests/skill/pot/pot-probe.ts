/** A probe in a pot: it lags, has steps and noise, feels warm streaks, may lie on the bottom or come out of the milk. */
import type { Dice } from '../dice.ts';
import { oneOf } from './one-of.ts';
import type { PotScene } from './pot.ts';

export type PotProbe = {
  follow(now: { milkC: number; bottomC: number; stirred: boolean; spanS: number; atS: number }): void;
  read(): number;
};

/** Draws a probe; one that touches reads a share of the bottom's excess, in jumps, until the milk is stirred. */
export function openPotProbe(
  dice: Dice,
  start: { startC: number; roomC: number; scene: PotScene },
): PotProbe {
  const { roomC, scene, startC } = start;
  const lagS = dice.logBetween(4, 25);
  const stepC = oneOf(dice, [0.0625, 0.1, 0.25, 0.0625]);
  const whiteC = dice.logBetween(0.01, 0.06);
  const streakC = dice.logBetween(0.02, 0.16);
  const streakS = dice.between(5, 18);
  const touchShare = scene.touching ? dice.between(0.15, 0.6) : 0;
  const air = scene.liftedAtS === undefined ? null : airOf(dice);
  let tipC = startC;
  let streak = 0;
  let touch = touchShare;
  return {
    follow: ({ milkC, bottomC, stirred, spanS, atS }) => {
      const keeps = Math.exp(-spanS / streakS);
      // Streaks come from the hot bottom: none where nothing is hotter than the milk.
      const heated = Math.min(1, Math.max(0, bottomC - milkC) / 4);
      streak = streak * keeps + dice.normal() * streakC * heated * Math.sqrt(1 - keeps * keeps);
      if (touchShare > 0 && dice.happens(spanS / 20)) touch = touchShare * dice.between(0.5, 1.5);
      if (stirred) touch *= 0.15;
      const aroundC = milkC + streak + touch * Math.max(0, bottomC - milkC);
      const lifted = air !== null && atS >= (scene.liftedAtS ?? Infinity);
      const feltC = lifted ? roomC + air.steam * (milkC - roomC) : aroundC;
      tipC += (feltC - tipC) * (1 - Math.exp(-spanS / (lifted ? air.lagS : lagS)));
    },
    read: () => Math.round((tipC + whiteC * dice.normal()) / stepC) * stepC,
  };
}

/** Where a probe hangs that came out: in the steam over the pot, or beside it; and how slowly it feels the air. */
function airOf(dice: Dice): { steam: number; lagS: number } {
  return { steam: dice.between(0, 0.5), lagS: dice.logBetween(25, 150) };
}
