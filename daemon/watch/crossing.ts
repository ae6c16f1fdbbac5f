/**
 * Finds when readings went under a limit: the first reading at or under it that none in the next 60 s
 * contradicts. The answer does not depend on the order in which readings come, as long as they come within
 * `settleMs` of each other.
 */

import { type Move, movedMs } from './moved-clock.ts';

/** Plain JSON: what is kept of the readings to answer that. */
export type Crossing = {
  /** Readings over the limit: [bin of 10 s, first ms, last ms], in order. */
  over: [number, number, number][];
  /** Instants of readings at or under the limit from the candidate on, in order. */
  under: number[];
  /** The candidate once no late reading can change it. */
  settledMs: number | null;
  newestMs: number | null;
};

/** How long a reading over the limit contradicts one under it before. */
export const contradictsMs = 60_000;
/** How late a reading may come and still count. */
export const settleMs = 16 * 60_000;
/** How long after the candidate readings under the limit are kept: a crossing wavers for minutes, not longer. */
const waverMs = 8 * 60_000;
/** Readings under the limit kept; the newest beyond are left out. */
export const underMax = 500;

const binMs = 10_000;

export function openCrossing(): Crossing {
  return { over: [], under: [], settledMs: null, newestMs: null };
}

/** Takes over `state` and returns it with one reading more. */
export function feedCrossing(state: Crossing, atMs: number, isUnder: boolean): Crossing {
  if (state.settledMs !== null) return state;
  state.newestMs = Math.max(state.newestMs ?? atMs, atMs);
  if (isUnder) addUnder(state, atMs);
  else addOver(state, atMs);
  settle(state, state.newestMs);
  return state;
}

/** The instant of the crossing as it stands now; null where there is none yet. */
export function crossedAtMs(state: Crossing): number | null {
  return state.settledMs ?? state.under[0] ?? null;
}

/** The crossing once readings a minute beyond it have not contradicted it; null until then. */
export function confirmedAtMs(state: Crossing): number | null {
  const atMs = crossedAtMs(state);
  if (atMs === null || state.settledMs !== null) return atMs;
  return (state.newestMs as number) >= atMs + contradictsMs ? atMs : null;
}

/** Takes over `state` with its instants where they lie after a turn of the clock. */
export function shiftCrossing(state: Crossing, move: Move): Crossing {
  const moved = openCrossing();
  moved.settledMs = movedMs(state.settledMs, move);
  moved.newestMs = movedMs(state.newestMs, move);
  moved.under = state.under.map((atMs) => movedMs(atMs, move));
  // Both ends of a bin are readings; putting them in again keeps every answer.
  for (const [, firstMs, lastMs] of state.over) {
    putOver(moved.over, movedMs(firstMs, move));
    putOver(moved.over, movedMs(lastMs, move));
  }
  return moved;
}

function addUnder(state: Crossing, atMs: number): void {
  if (isContradicted(state.over, atMs)) return;
  const { under } = state;
  let place = under.length;
  while (place > 0 && (under[place - 1] as number) > atMs) place--;
  if (under[place - 1] === atMs) return;
  under.splice(place, 0, atMs);
  const first = under[0] as number;
  while (under.length > underMax || (under[under.length - 1] as number) > first + waverMs) under.pop();
}

function addOver(state: Crossing, atMs: number): void {
  putOver(state.over, atMs);
  const { under } = state;
  if (under.length === 0 || (under[0] as number) >= atMs) return;
  if ((under[under.length - 1] as number) < atMs - contradictsMs) return;
  state.under = under.filter((underMs) => underMs >= atMs || underMs < atMs - contradictsMs);
}

function isContradicted(over: Crossing['over'], atMs: number): boolean {
  for (let place = over.length - 1; place >= 0; place--) {
    const [, firstMs, lastMs] = over[place] as [number, number, number];
    if (lastMs <= atMs) return false;
    if (firstMs > atMs ? firstMs <= atMs + contradictsMs : true) return true;
  }
  return false;
}

function putOver(over: Crossing['over'], atMs: number): void {
  const bin = Math.floor(atMs / binMs);
  let place = over.length;
  while (place > 0 && (over[place - 1] as [number, number, number])[0] > bin) place--;
  const found = over[place - 1];
  if (found === undefined || found[0] !== bin) {
    over.splice(place, 0, [bin, atMs, atMs]);
    return;
  }
  found[1] = Math.min(found[1], atMs);
  found[2] = Math.max(found[2], atMs);
}

function settle(state: Crossing, newestMs: number): void {
  const candidateMs = state.under[0];
  if (candidateMs !== undefined && newestMs - candidateMs > settleMs) {
    state.settledMs = candidateMs;
    state.under = [];
    state.over = [];
    return;
  }
  // What is older than any reading that may still come contradicts nothing new.
  while (state.over.length > 0 && newestMs - (state.over[0] as [number, number, number])[2] > 2 * settleMs) {
    state.over.shift();
  }
}
