import type { Verdict } from '../../shared/contract/forecast.ts';
import type { HeatShort, HeatWindow } from '../../shared/contract/heat.ts';
import {
  type HeatBank,
  type HeatOutlook,
  type HeatTold,
  openHeatBank,
  shiftHeatBank,
} from '../forecast/heat-forecast.ts';
import { type Crossing, openCrossing, shiftCrossing } from './crossing.ts';
import { type Move, movedMs } from './moved-clock.ts';

/** One open heat: a pot on its way up to a set temperature. Plain JSON, under 16 KB. */
export type Heat = {
  id: string;
  probe: string;
  sinceMs: number;
  window: HeatWindow;
  marginC: number;
  boilsC: number;
  bank: HeatBank;
  /** At or over the limit as typed, and at or over the limit and the margin. */
  typed: Crossing;
  guarded: Crossing;
  latest: { atMs: number; tempC: number } | null;
  mostC: number | null;
  outlook: HeatOutlook | null;
  verdict: Verdict;
  /** A verdict that the last forecasts came to, and since which data; it is taken once it has lasted. */
  turning: { to: Verdict; sinceMs: number } | null;
  /** Why it will not get there, while its chance is low. */
  short: HeatShort | null;
  /** Data since which the chance is low without a break; null while it is not. */
  lowSinceMs: number | null;
  /** When the burner wants to be off, once that is near. */
  offDueMs: number | null;
  /** When "heat off now" was said; null before. */
  offSaidMs: number | null;
  forecastDueMs: number | null;
  forecastDataMs: number | null;
  reached: boolean;
  missed: boolean;
  over: boolean;
  /** True once the hold that follows was opened. */
  thenOpened: boolean;
  stir: { saidMs: number | null; count: number; fast: boolean };
  turnedMs: number | null;
  said: Record<string, number>;
};

export type HeatStart = {
  id: string;
  probe: string;
  sinceMs: number;
  window: HeatWindow;
  marginC: number;
  boilsC: number;
  told: HeatTold;
};

/** Opens a heat without readings. Its seed is its id, so that a replay draws the same. */
export function openHeat(start: HeatStart): Heat {
  const { told, ...rest } = start;
  return {
    ...rest,
    bank: openHeatBank(told),
    typed: openCrossing(),
    guarded: openCrossing(),
    latest: null,
    mostC: null,
    outlook: null,
    verdict: 'unsure',
    turning: null,
    short: null,
    lowSinceMs: null,
    offDueMs: null,
    offSaidMs: null,
    forecastDueMs: null,
    forecastDataMs: null,
    reached: false,
    missed: false,
    over: false,
    thenOpened: false,
    stir: { saidMs: null, count: 0, fast: false },
    turnedMs: null,
    said: {},
  };
}

/** Takes over `heat` after a turn of the clock its readings go by; its span runs on where it began before `fromMs`. */
export function shiftHeat(heat: Heat, move: Move): Heat {
  const { deltaMs } = move;
  const sinceMs = movedMs(heat.sinceMs, move);
  const later = (atMs: number | null) => (atMs === null ? null : atMs + deltaMs);
  return {
    ...heat,
    sinceMs,
    window: { ...heat.window, deadlineMs: heat.window.deadlineMs + sinceMs - heat.sinceMs },
    bank: shiftHeatBank(heat.bank, deltaMs),
    typed: shiftCrossing(heat.typed, move),
    guarded: shiftCrossing(heat.guarded, move),
    latest: heat.latest && { ...heat.latest, atMs: movedMs(heat.latest.atMs, move) },
    outlook: null,
    turning: null,
    lowSinceMs: later(heat.lowSinceMs),
    offDueMs: later(heat.offDueMs),
    offSaidMs: later(heat.offSaidMs),
    forecastDueMs: later(heat.forecastDueMs),
    forecastDataMs: null,
    stir: { ...heat.stir, saidMs: later(heat.stir.saidMs) },
    turnedMs: later(heat.turnedMs),
  };
}
