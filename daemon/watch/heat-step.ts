/** What a heat does on a reading and on a tick. Events are values; sentences are made elsewhere. */
import type { Happening } from '../../shared/contract/event.ts';
import type { HeatShort } from '../../shared/contract/heat.ts';
import { feedHeat, feedRoom, forecastHeat, type HeatOutlook } from '../forecast/heat-forecast.ts';
import { confirmedAtMs, crossedAtMs, feedCrossing } from './crossing.ts';
import type { Heat } from './heat.ts';
import { judgeStir, offDueAtMs } from './heat-cues.ts';
import { sayOf } from './saying.ts';

/** Data that must have come since the last forecast before the next is made; the least near the target. */
const forecastEveryMs = { least: 10_000, most: 60_000 } as const;
/** Readings that come in one burst are taken as one update: the forecast waits this long for more. */
const burstMs = 20;
/** A heat that will not get there is told of when its chance was this low, for this long, not before so much data. */
const shortRule = { chance: 0.25, forMs: 60_000, notBeforeMs: 6 * 60_000, back: 0.65 } as const;
/** A pot that does not warm at all may only be waiting for its fire: it is given this long. */
const notWarmingMs = 12 * 60_000;
/** A climb this slow is none, °C a minute. */
const standsStill = 0.04;
/** After "heat off now" the coast is waited for this long before anything else is said. */
const coastMs = 4 * 60_000;
/** An overshoot worth a word, °C. */
const overC = 2;
/** "Nearly there" is said this long before. */
const nearMs = 5 * 60_000;
/** A heat ends by itself this long after it was reached, or after it began. */
const reachedEndsMs = 10 * 60_000;
const heatEndsMs = 12 * 3_600_000;

/** Feeds a reading of the pot. */
export function feedPot(
  heat: Heat,
  reading: { atMs: number; tempC: number; late: boolean },
  receivedMs: number,
): void {
  const { atMs, tempC, late } = reading;
  const { limitC } = heat.window;
  if (atMs < heat.sinceMs) return;
  heat.typed = feedCrossing(heat.typed, atMs, tempC >= limitC);
  heat.guarded = feedCrossing(heat.guarded, atMs, tempC >= limitC + heat.marginC);
  if (late) return;
  heat.latest = { atMs, tempC };
  heat.mostC = Math.max(heat.mostC ?? tempC, tempC);
  feedHeat(heat.bank, reading);
  if (isForecastDue(heat, atMs)) heat.forecastDueMs ??= receivedMs + burstMs;
}

/** Feeds a reading of the air around the pot; what is warmer than a room is steam over the milk. */
export function feedPotRoom(heat: Heat, { tempC }: { tempC: number }): void {
  if (tempC < 45) feedRoom(heat.bank, tempC);
}

/** Does what is due at `atMs`: the forecast, the cue to turn off, the target, the deadline. */
export function tickHeat(heat: Heat, atMs: number): Happening[] {
  const events: Happening[] = [];
  if (heat.forecastDueMs !== null && heat.forecastDueMs <= atMs) events.push(...updateHeat(heat, atMs));
  events.push(...judgeOff(heat, atMs), ...judgeReached(heat, atMs), ...judgeHeatDeadline(heat, atMs));
  return events;
}

/** When this heat wants the next tick; Infinity where only a reading can change anything. */
export function heatWakeMs(heat: Heat): number {
  const deadlineMs = heat.reached || heat.missed ? Infinity : heat.window.deadlineMs;
  return Math.min(heat.forecastDueMs ?? Infinity, heat.offDueMs ?? Infinity, deadlineMs, heatEndsAtMs(heat));
}

/** When this heat ends by itself. */
export function heatEndsAtMs(heat: Heat): number {
  const crossedMs = heat.reached ? crossedAtMs(heat.typed) : null;
  return crossedMs === null ? heat.sinceMs + heatEndsMs : crossedMs + reachedEndsMs;
}

/** Whether the target was reached beyond the margin in time; null while that is open. */
export function heatMetOf(heat: Heat, nowMs: number): boolean | null {
  const crossedMs = crossedAtMs(heat.guarded);
  if (crossedMs !== null && crossedMs <= heat.window.deadlineMs) return true;
  return nowMs >= heat.window.deadlineMs ? false : null;
}

/** What the forecast is asked about this heat. */
export function heatQuestion(heat: Heat): Parameters<typeof forecastHeat>[1] {
  const { window, marginC, id } = heat;
  return { limitC: window.limitC, marginC, deadlineMs: window.deadlineMs, seed: id };
}

function isForecastDue(heat: Heat, atMs: number): boolean {
  const { outlook, forecastDataMs } = heat;
  if (forecastDataMs === null || outlook === null) return true;
  const nearCoast = heat.window.limitC - outlook.coastC.p50 < 3 * Math.max(0.1, outlook.rateCPerMin);
  const slow = Math.min(forecastEveryMs.most, Math.max(forecastEveryMs.least, (atMs - heat.sinceMs) / 90));
  return atMs - forecastDataMs >= (nearCoast && !heat.reached ? forecastEveryMs.least : slow);
}

function updateHeat(heat: Heat, atMs: number): Happening[] {
  heat.forecastDueMs = null;
  const outlook = forecastHeat(heat.bank, heatQuestion(heat));
  heat.outlook = outlook;
  if (outlook === null) return [];
  heat.forecastDataMs = outlook.dataToMs;
  const events = noteTurn(heat, atMs);
  if (heat.reached) return [...events, ...judgeOver(heat, atMs)];
  events.push(...judgeVerdict(heat, outlook, atMs), ...judgeStir(heat, outlook, atMs));
  heat.offDueMs = offDueAtMs(heat, outlook, atMs);
  const near = outlook.crossing.p50;
  if (near !== null && near - atMs <= nearMs && near > atMs && heat.said['heat-near'] === undefined) {
    const { window, id: watch } = heat;
    const body = { weight: 'tell', watch, window, crossing: outlook.crossing, tempC: outlook.nowC } as const;
    events.push(sayOf(heat, { kind: 'heat-near', atMs, body }));
  }
  return events;
}

/** A burner that was turned is noted, so that a person sees that the forecast knows. */
function noteTurn(heat: Heat, atMs: number): Happening[] {
  const { turnedMs } = heat.bank;
  if (turnedMs === null || turnedMs === heat.turnedMs) return [];
  heat.turnedMs = turnedMs;
  const rateCPerMin = heat.outlook?.rateCPerMin ?? 0;
  const body = { watch: heat.id, turnedMs: Math.round(turnedMs), rateCPerMin };
  return [sayOf(heat, { kind: 'heat-turned', atMs, body })];
}

function judgeVerdict(heat: Heat, outlook: HeatOutlook, atMs: number): Happening[] {
  const { chance, crossing } = outlook;
  const events: Happening[] = [];
  const short = shortOf(heat, outlook);
  const warn = weighShort(heat, outlook, short, atMs);
  const to = warn ? 'not-on-course' : nextVerdict(heat, outlook);
  if (to !== heat.verdict) {
    const body = { watch: heat.id, from: heat.verdict, to, chance, crossing };
    heat.verdict = to;
    events.push(sayOf(heat, { kind: 'watch-turned', atMs, body }));
  }
  if (!warn) return events;
  const { id: watch, window, boilsC } = heat;
  const { levelC: level, withLid } = outlook;
  const body = {
    weight: 'warn',
    watch,
    window,
    short: heat.short ?? short,
    chance,
    crossing,
    level,
    withLid,
    boilsC,
  } as const;
  events.push(sayOf(heat, { kind: 'heat-will-not-reach', atMs, body }));
  return events;
}

/** Low for long enough, once; what came back to hope may be told again. */
function weighShort(heat: Heat, outlook: HeatOutlook, short: HeatShort, atMs: number): boolean {
  const { chance, dataToMs } = outlook;
  if (chance > shortRule.back) heat.short = null;
  if (chance > shortRule.chance) heat.lowSinceMs = null;
  else heat.lowSinceMs ??= dataToMs;
  if (heat.lowSinceMs === null || heat.short !== null) return false;
  if (heat.offSaidMs !== null && atMs - heat.offSaidMs < coastMs) return false;
  const notBeforeMs =
    short === 'not-warming' ? notWarmingMs : short === 'boils-below' ? 0 : shortRule.notBeforeMs;
  const longEnough = short === 'boils-below' || dataToMs - heat.lowSinceMs >= shortRule.forMs;
  if (!longEnough || dataToMs - heat.sinceMs < notBeforeMs) return false;
  heat.short = short;
  return true;
}

function shortOf({ window, boilsC, latest }: Heat, outlook: HeatOutlook): HeatShort {
  if (boilsC < window.limitC) return 'boils-below';
  const { rateCPerMin, levelC, neverChance } = outlook;
  if (rateCPerMin < -standsStill) return 'cooling';
  const tempC = latest?.tempC ?? outlook.nowC;
  if (rateCPerMin < standsStill && levelC.p50 < tempC + 3 && tempC < 45) return 'not-warming';
  return neverChance >= 0.5 ? 'levels-off' : 'too-slow';
}

/** A verdict is taken when its chance has lasted for `lastsMs` of data, and none before `notBeforeMs`. */
const verdictRule = {
  on: 0.65,
  off: 0.35,
  hysteresis: 0.15,
  lastsMs: 60_000,
  notBeforeMs: 3 * 60_000,
} as const;

function nextVerdict(heat: Heat, { chance, dataToMs }: HeatOutlook): Heat['verdict'] {
  const to = verdictOf(heat.verdict, chance);
  if (to === heat.verdict) heat.turning = null;
  else if (heat.turning?.to !== to) heat.turning = { to, sinceMs: dataToMs };
  const { turning } = heat;
  if (turning === null || dataToMs - turning.sinceMs < verdictRule.lastsMs) return heat.verdict;
  // The first minutes tell nothing of a burner that has just been lit.
  return dataToMs - heat.sinceMs < verdictRule.notBeforeMs ? heat.verdict : turning.to;
}

function verdictOf(verdict: Heat['verdict'], chance: number): Heat['verdict'] {
  const { on, off, hysteresis } = verdictRule;
  if (chance >= on) return 'on-course';
  if (chance <= off) return 'not-on-course';
  if (verdict === 'on-course' && chance >= on - hysteresis) return verdict;
  if (verdict === 'not-on-course' && chance <= off + hysteresis) return verdict;
  return 'unsure';
}

function judgeOff(heat: Heat, atMs: number): Happening[] {
  const { offDueMs, outlook } = heat;
  if (offDueMs === null || offDueMs > atMs || outlook === null) return [];
  heat.offDueMs = null;
  heat.offSaidMs = atMs;
  const { id: watch, window } = heat;
  const tempC = heat.latest?.tempC ?? outlook.nowC;
  const body = { weight: 'warn', watch, window, tempC, coast: outlook.coastC } as const;
  return [sayOf(heat, { kind: 'heat-off-now', atMs, body })];
}

function judgeReached(heat: Heat, atMs: number): Happening[] {
  const confirmedMs = confirmedAtMs(heat.typed);
  if (confirmedMs === null || heat.reached) return [];
  heat.reached = true;
  heat.offDueMs = null;
  heat.short = null;
  const { id: watch, window, marginC } = heat;
  const tempC = heat.latest?.tempC ?? window.limitC;
  const sure = crossedAtMs(heat.guarded) !== null;
  const body = { weight: 'tell', watch, window, crossedAtMs: confirmedMs, tempC, marginC, sure } as const;
  return [sayOf(heat, { kind: 'heat-reached', atMs, body })];
}

function judgeOver(heat: Heat, atMs: number): Happening[] {
  const tempC = heat.latest?.tempC ?? 0;
  const { window, outlook } = heat;
  const climbs = (outlook?.rateCPerMin ?? 0) > 0.3;
  // Where a hold follows, a little more than its limit is wanted.
  const roomC = window.holdAfter === null ? overC : overC + 1.5;
  if (heat.over || window.toBoil || !climbs || tempC < window.limitC + roomC) return [];
  heat.over = true;
  const body = { weight: 'warn', watch: heat.id, window, tempC } as const;
  return [sayOf(heat, { kind: 'heat-over', atMs, body })];
}

function judgeHeatDeadline(heat: Heat, atMs: number): Happening[] {
  const { id: watch, window, latest } = heat;
  if (heat.reached || heat.missed || atMs < window.deadlineMs) return [];
  heat.missed = true;
  const weight = heat.said['heat-will-not-reach'] === undefined ? 'warn' : 'tell';
  const body = { weight, watch, window, tempC: latest?.tempC ?? null } as const;
  return [sayOf(heat, { kind: 'heat-missed', atMs, body })];
}
