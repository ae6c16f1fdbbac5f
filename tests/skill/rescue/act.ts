/** What a person does with a jar once a way out was told: when, and with how much of what. */
import type { Rescue, RescueKind } from '../../../shared/contract/forecast.ts';
import { type Dice, openDice } from '../dice.ts';

/** One way out as it was taken; `dice` is for what its physics still draws. */
export type Act = {
  kind: RescueKind;
  /** When it was done, seconds after insertion: some minutes after it was told. */
  fromS: number;
  /** When it went from cold water into the ice; null where there is no such step. */
  thenIceS: number | null;
  iceKg: number;
  bathWaterKg: number;
  tapC: number;
  coldWaterKg: number;
  /** How often somebody stirs; null where nobody does. */
  stirEveryS: number | null;
  vessels: number;
  dice: Dice;
};

/** What was told, to whom: the jar, and when it was said. */
export type Told = { rescue: Rescue; volumeL: number; saidS: number; seed: number; place: number };

const handlingMin: Readonly<Record<RescueKind, [number, number]>> = {
  'ice-bath-stirred': [1, 6],
  'ice-bath': [1, 6],
  'cold-water': [1, 5],
  'cold-water-then-ice': [1, 5],
  split: [2, 7],
  stir: [0.5, 3],
  fan: [0.5, 4],
};

const stirredKinds: readonly RescueKind[] = ['stir', 'ice-bath-stirred', 'cold-water-then-ice'];

const kinds = Object.keys(handlingMin) as RescueKind[];

/**
 * Draws how a way out was taken. People take ice and water by what was told, some less and some more; where no
 * volume was told that is as much ice as milk, which people judge by eye.
 */
export function drawAct({ place, rescue, saidS, seed, volumeL }: Told): Act {
  const { iceKg, kind, vessels, waterL, waterSpanMs } = rescue;
  const dice = openDice(seed * 31 + kinds.indexOf(kind), place * 977 + Math.round(saidS));
  const fromS = saidS + 60 * dice.logBetween(...handlingMin[kind]);
  const waterS = ((waterSpanMs ?? 0) / 1000) * dice.between(0.7, 1.4);
  return {
    kind,
    fromS,
    thenIceS: kind === 'cold-water-then-ice' ? fromS + waterS : null,
    iceKg: iceKg === null ? volumeL * dice.between(0.6, 1.3) : iceKg * dice.between(0.85, 1.4),
    bathWaterKg: volumeL * dice.between(0.6, 1.8),
    tapC: dice.between(6, 17),
    coldWaterKg: waterL ? waterL * dice.between(0.7, 2) : volumeL * dice.between(1, 5),
    stirEveryS: stirredKinds.includes(kind) ? 60 * dice.logBetween(1, 5) : null,
    vessels: vessels ?? 1,
    dice,
  };
}
