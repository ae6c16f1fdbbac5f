/** When what a person does with a jar is done, as a population follows it. */
import type { Act } from './act.ts';

/** The steps of an act; every question is asked once at each instant, in order. */
export type Acting = {
  /** True from the first step on. */
  begun(): boolean;
  /** The step that is done now: into its only or last place (`withIce`), or into cold water before that; else null. */
  stepAt(atS: number): { act: Act; withIce: boolean } | null;
  /** Whether somebody stirs now. */
  stirsAt(atS: number): boolean;
};

/** Opens the steps of an act; without one nothing is ever done. */
export function openActing(act: Act | undefined): Acting {
  let steps = 0;
  let stirredS = 0;
  return {
    begun: () => steps > 0,
    stepAt: (atS) => {
      if (act === undefined || steps === 2) return null;
      if (atS < (steps === 0 ? act.fromS : (act.thenIceS ?? Number.POSITIVE_INFINITY))) return null;
      steps++;
      return { act, withIce: steps === 2 || act.thenIceS === null };
    },
    stirsAt: (atS) => {
      if (act === undefined || steps === 0 || act.stirEveryS === null) return false;
      if (atS - stirredS < act.stirEveryS) return false;
      stirredS = atS;
      return true;
    },
  };
}
