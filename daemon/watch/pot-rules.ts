/** What the house and a word make of a pot: its margin, its boil, the window of a heat or a hold. */
import type { HeatWindow } from '../../shared/contract/heat.ts';
import type { HoldAsked, HoldWindow } from '../../shared/contract/hold.ts';
import { milkBoilsC } from '../../shared/dairy/boiling.ts';
import { batchRule } from '../../shared/dairy/legal-holds.ts';
import type { HeatTold } from '../forecast/heat-forecast.ts';
import { marginOf, probeRules, type WatchRules } from './rules.ts';

/** A heat is looked at this long unless asked otherwise. */
export const heatSpanMs = 3 * 3_600_000;
/** "The boil" is this near to the boiling point, K: weather moves that by as much, and a pot never quite gets there. */
const boilNearK = 0.7;
/** A hold that follows "the boil" lets it simmer this far below its target, K. */
const simmerK = 0.8;

/** Where milk boils in this house, °C. */
export function boilsOf(rules: WatchRules): number {
  return milkBoilsC(rules.heightM ?? 0);
}

export type HeatAsked = {
  limitC?: number | undefined;
  toBoil?: boolean | undefined;
  spanMs?: number | undefined;
  holdAfter?: HoldAsked | undefined;
};

/** The window of a heat that begins at `sinceMs`. A heat to the boil has its target from the house's height. */
export function heatWindowOf(rules: WatchRules, asked: HeatAsked, sinceMs: number): HeatWindow {
  const { spanMs = heatSpanMs, holdAfter = null } = asked;
  const toBoil = asked.toBoil === true || asked.limitC === undefined;
  const limitC = toBoil ? boilsOf(rules) - boilNearK : (asked.limitC as number);
  return { limitC, spanMs, deadlineMs: sinceMs + spanMs, toBoil, holdAfter };
}

/** The window of a hold; one without a limit takes its pair's, or what its heat came to. Null where none is known. */
export function holdWindowOf(asked: HoldAsked, heat: HeatWindow | null): HoldWindow | null {
  const { highC = null, coolToC = null, pair = null } = asked;
  if (pair !== null) {
    const rule = batchRule(pair, asked.product);
    return { lowC: rule.limitC, highC, holdMs: rule.holdMs, pair, airLowC: rule.airLowC, coolToC };
  }
  const ofHeat = heat === null ? null : heat.toBoil ? heat.limitC - simmerK : heat.limitC;
  const lowC = asked.limitC ?? ofHeat;
  return lowC === null ? null : { lowC, highC, holdMs: asked.holdMs, pair, airLowC: null, coolToC };
}

/** The margin of a hold, °C: a batch pair keeps its guard where the house has turned it off. */
export function holdMarginOf(rules: WatchRules, probe: string, { pair }: HoldWindow): number {
  return pair === null ? marginOf(rules, probe) : probeRules(rules, probe).uncertaintyC;
}

/** What is known of the pot on a probe beforehand. */
export function potToldOf(rules: WatchRules, probe: string, volumeL?: number): HeatTold {
  const told = probeRules(rules, probe);
  const place = told.place === null ? undefined : rules.places[told.place];
  const aroundC = place?.kind === 'pot' ? (place.aroundC ?? null) : null;
  return { roomC: aroundC, heightM: rules.heightM ?? 0, volumeL: volumeL ?? told.volumeL };
}
