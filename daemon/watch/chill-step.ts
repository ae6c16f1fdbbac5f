/** What a chill does on a reading and on a tick. Events are values; sentences are made elsewhere. */
import type { Happening } from '../../shared/contract/event.ts';
import type { Rescue } from '../../shared/contract/forecast.ts';
import { offeredRescue } from '../../shared/dairy/offered-rescue.ts';
import { outlookOf } from '../forecast/chill-forecast.ts';
import { feedChill } from '../forecast/chill-trace.ts';
import { type ChillView, viewChill } from '../forecast/chill-view.ts';
import { weighWarning } from '../forecast/warning.ts';
import { type WaySlice, waySlices, waysOut } from '../forecast/ways-out.ts';
import { type Chill, questionOf, regimeSinceMs } from './chill.ts';
import { feedOuter, judgeOuter, lookOut, outerEndsMs, outerWakeMs } from './chill-outer.ts';
import { confirmedAtMs, crossedAtMs, feedCrossing } from './crossing.ts';
import { feelEnd, type LeftMilk } from './milk-end.ts';
import { lastSaid, sayOf } from './saying.ts';

/** Data that must have come since the last forecast before the next is made: 10 s at first, a minute in a chill two hours old. */
const forecastEveryMs = { least: 10_000, most: 60_000 } as const;
/** Readings that come in one burst are taken as one update: the forecast waits this long for more. */
export const burstMs = 20;
/** How near to the deadline a reading must be to tell what it was then. */
const nearDeadlineMs = 5 * 60_000;
/** How long after the deadline a crossing just before it is waited for. */
const judgeWaitMs = 90_000;
/** Taking glass out is said when milk may reach its freezing point within this span. */
export const freezeAheadMs = 20 * 60_000;
/** A chill ends by itself this long after it was made, or after it began. */
export const madeEndsMs = 6 * 3_600_000;
export const chillEndsMs = 16 * 3_600_000;

/** Feeds a reading of the milk; `left` tells where it shows that the probe has left this milk, and for what. */
export function feedMilk(
  chill: Chill,
  reading: { atMs: number; tempC: number; late: boolean },
  receivedMs: number,
): { left: LeftMilk | null } {
  const { atMs, tempC } = reading;
  const { limitC, deadlineMs } = chill.window;
  if (atMs < chill.sinceMs) return { left: null };
  // What was read before a way out was taken is no part of how it cools now.
  if (atMs >= regimeSinceMs(chill)) chill.trace = feedChill(chill.trace, { atMs, tempC });
  chill.typed = feedCrossing(chill.typed, atMs, tempC <= limitC);
  chill.guarded = feedCrossing(chill.guarded, atMs, tempC <= limitC - chill.marginC);
  feedOuter(chill, { atMs, tempC });
  const heard = { atMs, tempC };
  if (atMs <= deadlineMs && atMs >= (chill.beforeDeadline?.atMs ?? atMs)) chill.beforeDeadline = heard;
  if (atMs >= deadlineMs && atMs <= (chill.afterDeadline?.atMs ?? atMs)) chill.afterDeadline = heard;
  if (chill.latest === null || atMs >= chill.latest.atMs) chill.latest = heard;
  if (reading.late || isForecastDue(chill, atMs)) chill.forecastDueMs ??= receivedMs + burstMs;
  if (reading.late) return { left: null };
  const felt = feelEnd(chill.end, heard);
  chill.end = felt.state;
  return { left: felt.left };
}

/** Feeds a reading of the air or water around the vessel. */
export function feedAround(chill: Chill, heard: { atMs: number; tempC: number }): void {
  chill.trace = feedChill(chill.trace, { ...heard, around: true });
}

/** Does what is due at `atMs`: the forecast, the deadline, what follows from them. */
export function tickChill(chill: Chill, atMs: number): Happening[] {
  const events: Happening[] = [];
  if (chill.forecastDueMs !== null && chill.forecastDueMs <= atMs)
    events.push(...updateForecast(chill, atMs));
  events.push(...judgeCrossing(chill, atMs), ...judgeDeadline(chill, atMs), ...judgeOuter(chill, atMs));
  return events;
}

/** When this chill wants the next tick. */
export function chillWakeMs(chill: Chill): number {
  const judgedMs = chill.made || chill.missed ? Infinity : judgedAtMs(chill);
  return Math.min(chill.forecastDueMs ?? Infinity, judgedMs, outerWakeMs(chill), endsAtMs(chill));
}

/** When the deadline is judged: a crossing before it that the next minute may contradict is waited for. */
function judgedAtMs(chill: Chill): number {
  const { deadlineMs } = chill.window;
  const candidateMs = crossedAtMs(chill.guarded);
  return candidateMs !== null && candidateMs <= deadlineMs ? deadlineMs + judgeWaitMs : deadlineMs;
}

/** When this chill ends by itself. */
export function endsAtMs(chill: Chill): number {
  const crossedMs = crossedAtMs(chill.guarded);
  const ownMs = crossedMs === null ? chill.sinceMs + chillEndsMs : crossedMs + madeEndsMs;
  return Math.max(ownMs, outerEndsMs(chill));
}

/** The milk's temperature when its time was up, by the nearer reading on either side; null where none is near. */
export function tempAtDeadline(chill: Chill): number | null {
  const { deadlineMs } = chill.window;
  const before = near(chill.beforeDeadline, deadlineMs);
  const after = near(chill.afterDeadline, deadlineMs);
  if (before === null || after === null) return (before ?? after)?.tempC ?? null;
  if (after.atMs === before.atMs) return before.tempC;
  const share = (deadlineMs - before.atMs) / (after.atMs - before.atMs);
  return before.tempC + (after.tempC - before.tempC) * share;
}

/** Whether the window was met beyond the margin; null while its time is not up and it is not crossed. */
export function metOf(chill: Chill, nowMs: number): boolean | null {
  const crossedMs = crossedAtMs(chill.guarded);
  if (crossedMs !== null && crossedMs <= chill.window.deadlineMs) return true;
  return nowMs >= chill.window.deadlineMs ? false : null;
}

function isForecastDue(chill: Chill, atMs: number): boolean {
  if (chill.forecastDataMs === null) return true;
  const { least, most } = forecastEveryMs;
  const everyMs = Math.min(most, Math.max(least, (atMs - chill.sinceMs) / 120));
  return atMs - chill.forecastDataMs >= everyMs;
}

function near(heard: Chill['latest'], deadlineMs: number): Chill['latest'] {
  return heard !== null && Math.abs(heard.atMs - deadlineMs) <= nearDeadlineMs ? heard : null;
}

function updateForecast(chill: Chill, atMs: number): Happening[] {
  chill.forecastDueMs = null;
  const question = questionOf(chill);
  const view = viewChill(chill.trace, question, Math.max(atMs, chill.latest?.atMs ?? atMs));
  if (view === null) {
    chill.outlook = null;
    return [];
  }
  const outlook = outlookOf(view, question);
  chill.outlook = outlook;
  chill.forecastDataMs = outlook.dataToMs;
  const events = freezeNear(chill, atMs);
  if (chill.made || chill.missed) {
    chill.rescues = rescuesOf(chill, view, { atMs, slice: nextSlice(chill) });
    events.push(...lookOut(chill, view, atMs));
    return events;
  }
  const weighed = weighWarning(chill.warning, outlook, question, outlook.dataToMs);
  chill.warning = weighed.state;
  if (weighed.verdict !== chill.verdict) {
    const { chance, crossing } = outlook;
    const body = { watch: chill.id, from: chill.verdict, to: weighed.verdict, chance, crossing };
    chill.verdict = weighed.verdict;
    events.push(sayOf(chill, { kind: 'watch-turned', atMs, body }));
  }
  chill.rescues = rescuesOf(chill, view, { atMs, slice: weighed.warn ? null : nextSlice(chill) });
  if (weighed.warn) events.push(willMiss(chill, atMs));
  return events;
}

/**
 * Ways out of a chill that will miss or has missed; none while it is on course. With a slice only that part is
 * made anew.
 */
export function rescuesOf(
  chill: Chill,
  view: ChillView,
  { atMs, slice }: { atMs: number; slice: WaySlice | null },
): Rescue[] {
  if (chill.made || chill.late || (chill.verdict !== 'not-on-course' && !chill.missed)) return [];
  const chance = chill.outlook?.chance ?? 0;
  const part = slice === null ? {} : { slice, before: chill.rescues };
  return waysOut(view, questionOf(chill), { atMs, chance, ...part });
}

/** The part of the ways out that is made anew at this update: one after the other, all where there are none yet. */
function nextSlice(chill: Chill): WaySlice | null {
  if (chill.rescues.length === 0) return null;
  chill.waySlice = (chill.waySlice + 1) % waySlices.length;
  return waySlices[chill.waySlice] as WaySlice;
}

function willMiss(chill: Chill, atMs: number): Happening {
  const { chance, crossing, atDeadline } = chill.outlook as NonNullable<Chill['outlook']>;
  const { id: watch, window } = chill;
  const offered = offeredRescue(chill.rescues, atMs);
  const rescue = offered === null ? null : withoutPath(offered);
  const body = { weight: 'warn', watch, window, chance, crossing, atDeadline, rescue } as const;
  return sayOf(chill, { kind: 'chill-will-miss', atMs, body });
}

function freezeNear(chill: Chill, atMs: number): Happening[] {
  const outlook = chill.outlook as NonNullable<Chill['outlook']>;
  const nearMs = outlook.freezing.p10;
  if (nearMs === null || nearMs - atMs > freezeAheadMs || chill.said['freeze-near'] !== undefined) return [];
  if (crossedAtMs(chill.typed) === null) return [];
  // Plain water and its ice are never colder than 0 °C, and milk freezes below that.
  if (chill.told.place === 'ice-bath' || chill.told.place === 'cold-water') return [];
  const tempC = chill.latest?.tempC ?? 0;
  const body = { weight: 'warn', watch: chill.id, nearMs, tempC, freezesC: outlook.freezesC } as const;
  return [sayOf(chill, { kind: 'freeze-near', atMs, body })];
}

function judgeCrossing(chill: Chill, atMs: number): Happening[] {
  const confirmedMs = confirmedAtMs(chill.guarded);
  if (confirmedMs === null || chill.made || chill.late) return [];
  const { id: watch, window, marginC } = chill;
  const typedMs = crossedAtMs(chill.typed) ?? confirmedMs;
  if (confirmedMs <= window.deadlineMs) {
    chill.made = true;
    const amends = lastSaid(chill, 'chill-missed');
    chill.missed = false;
    const tempC = chill.latest?.tempC ?? window.limitC - marginC;
    const body = { weight: 'tell', watch, window, crossedAtMs: typedMs, tempC, marginC } as const;
    return [sayOf(chill, { kind: 'chill-made', atMs, body, ...(amends === null ? {} : { amends }) })];
  }
  chill.late = true;
  const body = { weight: 'tell', watch, window, crossedAtMs: typedMs } as const;
  return [...judgeDeadline(chill, atMs), sayOf(chill, { kind: 'chill-late', atMs, body })];
}

function judgeDeadline(chill: Chill, atMs: number): Happening[] {
  const { id: watch, window, marginC } = chill;
  if (chill.made || chill.missed || atMs < window.deadlineMs) return [];
  // A crossing before the deadline that the next minute may still contradict is waited for.
  const candidateMs = crossedAtMs(chill.guarded);
  if (candidateMs !== null && candidateMs <= window.deadlineMs && atMs < window.deadlineMs + 90_000)
    return [];
  chill.missed = true;
  const weight = chill.said['chill-will-miss'] === undefined ? 'warn' : 'tell';
  const body = { weight, watch, window, tempC: tempAtDeadline(chill), marginC } as const;
  return [sayOf(chill, { kind: 'chill-missed', atMs, body })];
}

/** A rescue as the record keeps it: its path is a picture and not kept. */
function withoutPath({ path: _, ...rest }: Rescue): Omit<Rescue, 'path'> {
  return rest;
}
