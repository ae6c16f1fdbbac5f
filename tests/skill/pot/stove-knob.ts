/** What a hand does to the knob of a stove: most leave it, some turn it once or twice. */
import type { Dice } from '../dice.ts';
import type { PotScene } from './pot.ts';

/** The share of its full heat that a burner gives at a second. */
export type Knob = (atS: number) => number;

/** Draws a knob: lit at some moment of the first minutes, turned by a fifth to a half where the scene says so. */
export function knobOf(dice: Dice, scene: PotScene): Knob {
  const litS = dice.happens(0.4) ? dice.between(0, 60) : 0;
  const turns: { atS: number; share: number }[] = [];
  if (scene.knobTurned) {
    let share = 1;
    const count = dice.happens(0.3) ? 2 : 1;
    for (let turn = 0; turn < count; turn++) {
      share *= dice.happens(0.55) ? dice.between(0.5, 0.82) : dice.between(1.15, 1.5);
      // Most when the pot has just been put on, some when it is near.
      turns.push({ atS: dice.logBetween(90, 900), share });
    }
    turns.sort((a, b) => a.atS - b.atS);
  }
  return (atS) => {
    if (atS < litS) return 0;
    let share = 1;
    for (const turn of turns) if (atS >= turn.atS) share = turn.share;
    return share;
  };
}
