import type { Verdict } from '../../shared/contract/forecast.ts';
import type { HoldBreak, HoldProof, HoldWindow } from '../../shared/contract/hold.ts';
import { type HeatBank, type HeatTold, openHeatBank, shiftHeatBank } from '../forecast/heat-forecast.ts';
import type { HoldOutlook } from '../forecast/hold-forecast.ts';
import { type HoldClock, openHoldClock, shiftHoldClock } from './hold-clock.ts';
import { type Intervals, openIntervals } from './intervals.ts';

/** One open hold: what is in the pot against a temperature and a time. Plain JSON, under 32 KB. */
export type Hold = {
  id: string;
  probe: string;
  sinceMs: number;
  window: HoldWindow;
  marginC: number;
  bank: HeatBank;
  /** At the limit as typed, and at the limit and the margin: only this one proves. */
  typed: HoldClock;
  guarded: HoldClock;
  intervals: Intervals;
  latest: { atMs: number; tempC: number } | null;
  /** The air over the milk since the guarded clock began: first and newest instant, and the least. */
  air: { firstMs: number; lastMs: number; leastC: number } | null;
  lastBreak: { why: HoldBreak; atMs: number; provedMs: number } | null;
  /** The instant of the break that was told last; null before. */
  saidBreakMs: number | null;
  proof: HoldProof | null;
  cooledMs: number | null;
  /** Minutes worth at the scale's temperature since the hold began; advice. */
  worthMin: number;
  outlook: HoldOutlook | null;
  verdict: Verdict;
  lowSinceMs: number | null;
  driftSaid: boolean;
  forecastDueMs: number | null;
  forecastDataMs: number | null;
  said: Record<string, number>;
};

export type HoldStart = {
  id: string;
  probe: string;
  sinceMs: number;
  window: HoldWindow;
  marginC: number;
  told: HeatTold;
  /** What the heat before has learned of the pot; null where there was none. */
  bank: HeatBank | null;
};

/** Opens a hold without readings. Its seed is its id, so that a replay draws the same. */
export function openHold(start: HoldStart): Hold {
  const { told, bank, ...rest } = start;
  return {
    ...rest,
    bank: bank ?? openHeatBank(told),
    typed: openHoldClock(),
    guarded: openHoldClock(),
    intervals: openIntervals(),
    latest: null,
    air: null,
    lastBreak: null,
    saidBreakMs: null,
    proof: null,
    cooledMs: null,
    worthMin: 0,
    outlook: null,
    verdict: 'unsure',
    lowSinceMs: null,
    driftSaid: false,
    forecastDueMs: null,
    forecastDataMs: null,
    said: {},
  };
}

/** Takes over `hold` with every instant later by `deltaMs`, after a step of the clock its readings go by. */
export function shiftHold(hold: Hold, deltaMs: number): Hold {
  const later = (atMs: number | null) => (atMs === null ? null : atMs + deltaMs);
  const { latest, air, lastBreak, proof, intervals } = hold;
  return {
    ...hold,
    sinceMs: hold.sinceMs + deltaMs,
    bank: shiftHeatBank(hold.bank, deltaMs),
    typed: shiftHoldClock(hold.typed, deltaMs),
    guarded: shiftHoldClock(hold.guarded, deltaMs),
    intervals: { ...intervals, lastMs: later(intervals.lastMs) },
    latest: latest && { ...latest, atMs: latest.atMs + deltaMs },
    air: air && { ...air, firstMs: air.firstMs + deltaMs, lastMs: air.lastMs + deltaMs },
    lastBreak: lastBreak && { ...lastBreak, atMs: lastBreak.atMs + deltaMs },
    saidBreakMs: later(hold.saidBreakMs),
    proof: proof && { ...proof, fromMs: proof.fromMs + deltaMs, toMs: proof.toMs + deltaMs },
    cooledMs: later(hold.cooledMs),
    outlook: null,
    lowSinceMs: later(hold.lowSinceMs),
    forecastDueMs: later(hold.forecastDueMs),
    forecastDataMs: null,
  };
}
