/** The outer window of a chill: what the region's rule asks of raw milk beyond the house's own hour. */
import type { Happening, OuterWindow } from '../../shared/contract/event.ts';
import { type CoolingRuleId, coolingDeadlines, coolingRules } from '../../shared/dairy/cooling-rules.ts';
import { offeredRescue } from '../../shared/dairy/offered-rescue.ts';
import { outlookOf } from '../forecast/chill-forecast.ts';
import type { ChillView } from '../forecast/chill-view.ts';
import { waysOut } from '../forecast/ways-out.ts';
import { type Chill, questionOf } from './chill.ts';
import {
  type Crossing,
  confirmedAtMs,
  crossedAtMs,
  feedCrossing,
  openCrossing,
  shiftCrossing,
} from './crossing.ts';
import { type Move, movedMs } from './moved-clock.ts';
import { sayOf } from './saying.ts';

/** One outer window of an open chill, judged at its limit less the probe's margin. Plain JSON. */
export type Outer = {
  window: OuterWindow;
  crossing: Crossing;
  /** The chance to make it as it was last worked out; null before. */
  chance: number | null;
  warned: boolean;
  /** What the milk was when its time was up, by the last reading before. */
  lastBefore: { atMs: number; tempC: number } | null;
  state: 'open' | 'met' | 'missed';
};

/** From this chance down a person is told that the outer window will be missed. */
const lowChance = 0.2;
/** How long after its deadline a crossing just before it is waited for. */
const judgeWaitMs = 90_000;
/** A reading this near to the deadline tells what the milk was then. */
const nearDeadlineMs = 10 * 60_000;

/** The outer windows of a chill that has just begun; none where no region was told or its rule is the house's own. */
export function openOuter(chill: Chill, region: CoolingRuleId | undefined): Outer[] {
  if (region === undefined) return [];
  return windowsOf(chill, region).map((window) => ({
    window,
    crossing: openCrossing(),
    chance: null,
    warned: false,
    lastBefore: null,
    state: 'open',
  }));
}

/** The same windows for a milking that ended at another instant; what was read stays. */
export function resetOuter(chill: Chill): Outer[] {
  const region = chill.outer[0]?.window.rule as CoolingRuleId | undefined;
  if (region === undefined) return [];
  const windows = windowsOf(chill, region);
  return chill.outer.flatMap((one) => {
    const window = windows.find(({ limitC }) => limitC === one.window.limitC);
    return window === undefined ? [] : [{ ...one, window, lastBefore: null }];
  });
}

/** Takes over one outer window after a turn of the clock; its deadline stays where the milk is from before `fromMs`. */
export function shiftOuter(one: Outer, { move, sinceMs }: { move: Move; sinceMs: number }): Outer {
  const { lastBefore, window } = one;
  const spanMs = window.deadlineMs - sinceMs;
  return {
    ...one,
    window: { ...window, deadlineMs: movedMs(sinceMs, move) + spanMs },
    crossing: shiftCrossing(one.crossing, move),
    lastBefore: lastBefore && { ...lastBefore, atMs: movedMs(lastBefore.atMs, move) },
  };
}

/** Feeds a reading of the milk to every outer window that is not decided. */
export function feedOuter(chill: Chill, { atMs, tempC }: { atMs: number; tempC: number }): void {
  for (const one of chill.outer) {
    if (one.state === 'met') continue;
    one.crossing = feedCrossing(one.crossing, atMs, tempC <= one.window.limitC - chill.marginC);
    const isNewer = one.lastBefore === null || atMs >= one.lastBefore.atMs;
    if (atMs <= one.window.deadlineMs && isNewer) one.lastBefore = { atMs, tempC };
  }
}

/** Judges what is crossed or due at `atMs`. */
export function judgeOuter(chill: Chill, atMs: number): Happening[] {
  return chill.outer.flatMap((one) => judge(chill, one, atMs));
}

/** When the outer windows want the next tick; Infinity where none is open. */
export function outerWakeMs(chill: Chill): number {
  return Math.min(...chill.outer.map((one) => (one.state === 'open' ? judgedAtMs(one) : Infinity)));
}

/** Until when a chill stays open for its outer windows: a little past the last one that is open. */
export function outerEndsMs(chill: Chill): number {
  const open = chill.outer.filter(({ state }) => state === 'open');
  return Math.max(0, ...open.map((one) => judgedAtMs(one) + 1));
}

/**
 * Looks whether the milk makes its outer windows as it is going, once the house's own hour has been missed: before
 * that its own warning says what to do. Warns once for each window.
 */
export function lookOut(chill: Chill, view: ChillView, atMs: number): Happening[] {
  if (!chill.missed) return [];
  const question = questionOf(chill);
  return chill.outer.flatMap((one) => {
    if (one.state !== 'open' || atMs >= one.window.deadlineMs) return [];
    const asked = { ...question, limitC: one.window.limitC, deadlineMs: one.window.deadlineMs };
    const outlook = outlookOf(view, asked);
    one.chance = outlook.chance;
    if (one.warned || outlook.chance > lowChance) return [];
    one.warned = true;
    const offered = offeredRescue(waysOut(view, asked, { atMs, chance: outlook.chance }), atMs);
    const rescue = offered === null ? null : withoutPath(offered);
    const { chance, crossing } = outlook;
    const body = { weight: 'warn', watch: chill.id, window: one.window, chance, crossing, rescue } as const;
    return [sayOf(chill, { kind: 'outer-will-miss', atMs, body })];
  });
}

function judge(chill: Chill, one: Outer, atMs: number): Happening[] {
  const { deadlineMs } = one.window;
  const confirmedMs = confirmedAtMs(one.crossing);
  if (one.state !== 'met' && confirmedMs !== null && confirmedMs <= deadlineMs) {
    const wasSaid = one.warned || one.state === 'missed';
    one.state = 'met';
    const body = { weight: 'tell', watch: chill.id, window: one.window, crossedAtMs: confirmedMs } as const;
    return wasSaid ? [sayOf(chill, { kind: 'outer-made', atMs, body })] : [];
  }
  if (one.state !== 'open' || atMs < judgedAtMs(one)) return [];
  one.state = 'missed';
  const { lastBefore } = one;
  const tempC =
    lastBefore !== null && deadlineMs - lastBefore.atMs <= nearDeadlineMs ? lastBefore.tempC : null;
  const { marginC } = chill;
  const body = { weight: 'alarm', watch: chill.id, window: one.window, tempC, marginC } as const;
  return [sayOf(chill, { kind: 'outer-missed', atMs, body })];
}

function judgedAtMs({ crossing, window }: Outer): number {
  const candidateMs = crossedAtMs(crossing);
  const isNear = candidateMs !== null && candidateMs <= window.deadlineMs;
  return isNear ? window.deadlineMs + judgeWaitMs : window.deadlineMs;
}

/** The rule's windows, less those that the house's own hour already asks or tightens. */
function windowsOf(chill: Chill, region: CoolingRuleId): OuterWindow[] {
  const { deadlineMs: ownMs, limitC: ownC, originMs } = chill.window;
  const milking = { startMs: chill.milkingBeganMs, endMs: originMs };
  return coolingDeadlines(coolingRules[region], milking)
    .map(({ limitC, deadlineMs, from }) => ({ rule: region, limitC, deadlineMs, from }))
    .filter(({ limitC, deadlineMs }) => limitC !== ownC || deadlineMs !== ownMs)
    .sort((a, b) => a.deadlineMs - b.deadlineMs);
}

function withoutPath<R extends { path: unknown }>({ path: _, ...rest }: R): Omit<R, 'path'> {
  return rest;
}
