/** What a heat says to the hand at the stove: when to turn it off, and when the bottom wants stirring. */
import type { Happening } from '../../shared/contract/event.ts';
import { type HeatOutlook, handMin } from '../forecast/heat-forecast.ts';
import type { Heat } from './heat.ts';
import { sayOf } from './saying.ts';

/** The coast is let end a little over the target, so that it is reached. */
const overAimC = 0.1;
/** Where a hold follows, the pot is let climb this much over its limit and margin. */
const holdAimC = 1;
/** A cue nearer than this is made by its own tick, not by the next forecast. */
const cueAheadMs = 25_000;
/** A pot that climbs slower than this has no heat on that could be turned off, °C a minute. */
const climbsLeast = 0.06;

/** Where a coast should end, °C. */
export function aimOf({ window, marginC }: Pick<Heat, 'window' | 'marginC'>): number {
  if (window.holdAfter === null) return window.limitC + overAimC + 0.5 * Math.min(0.6, marginC);
  return window.limitC + marginC + holdAimC;
}

/** When the burner wants to be off; null while that is not near, or was said. */
export function offDueAtMs(heat: Heat, outlook: HeatOutlook, atMs: number): number | null {
  if (heat.offSaidMs !== null || heat.window.toBoil || outlook.rateCPerMin < climbsLeast) return null;
  const aimC = aimOf(heat);
  if (heat.boilsC < aimC) return null;
  const dataAgoMs = Math.max(0, atMs - outlook.dataToMs);
  const dueMs = outlook.dataToMs + ((aimC - outlook.coastC.p50) / outlook.rateCPerMin) * 60_000;
  if (dueMs > outlook.dataToMs + dataAgoMs + cueAheadMs) return null;
  return Math.max(atMs, Math.round(dueMs));
}

/**
 * Milk that climbs fast has a bottom far hotter than itself; from about 60 °C its whey proteins settle there
 * (common practice, no source for the pace).
 */
const stirRule = { fast: 2.5, slow: 1.8, fromC: 50, everyMs: 4 * 60_000, countMax: 4 } as const;

/** Says that the bottom wants stirring while the milk climbs fast; a few times at the most. */
export function judgeStir(heat: Heat, outlook: HeatOutlook, atMs: number): Happening[] {
  const { stir } = heat;
  const pace = stir.fast ? stirRule.slow : stirRule.fast;
  stir.fast = outlook.nowC >= stirRule.fromC && outlook.rateCPerMin >= pace && heat.offSaidMs === null;
  if (!stir.fast || stir.count >= stirRule.countMax) return [];
  if (stir.saidMs !== null && atMs - stir.saidMs < stirRule.everyMs) return [];
  stir.saidMs = atMs;
  stir.count += 1;
  const { id: watch } = heat;
  const body = { weight: 'tell', watch, tempC: outlook.nowC, rateCPerMin: outlook.rateCPerMin } as const;
  return [sayOf(heat, { kind: 'heat-stir', atMs, body })];
}

export { handMin };
