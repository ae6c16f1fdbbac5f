import type { Dice } from '../dice.ts';

/** One of the values, each as likely. */
export function oneOf(dice: Dice, values: readonly [number, ...number[]]): number {
  return values[Math.min(values.length - 1, Math.floor(dice.share() * values.length))] ?? values[0];
}
