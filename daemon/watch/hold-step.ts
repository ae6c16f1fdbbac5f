/** What a hold does on a reading and on a tick. Events are values; sentences are made elsewhere. */
import type { Happening } from '../../shared/contract/event.ts';
import type { HoldBreak } from '../../shared/contract/hold.ts';
import { batchScale, lethalityOf } from '../../shared/dairy/lethality.ts';
import { feedHeat, feedRoom } from '../forecast/heat-forecast.ts';
import { forecastHold, type HoldOutlook, type HoldQuestion } from '../forecast/hold-forecast.ts';
import type { Hold } from './hold.ts';
import { type Broken, breakClock, countedMs, feedHoldClock, feedLate, gapAllowedMs } from './hold-clock.ts';
import { feedInterval, intervalOf } from './intervals.ts';
import { lastSaid, sayOf } from './saying.ts';

/** Data that must have come since the last forecast before the next is made. */
const forecastEveryMs = { least: 20_000, most: 120_000 } as const;
const burstMs = 20;
/** A clock that had counted less than this begins again without a word: a pot wavers as it comes to its limit. */
const worthSayingMs = 60_000;
/** A drift out of the window is told of when it was likely for this long. */
const driftRule = { chance: 0.25, forMs: 60_000, back: 0.6 } as const;
/** Gaps longer than this are not reckoned as heated. */
const worthGapMs = 2 * 60_000;
/** How near to both ends of a hold the air over the milk must have been heard. */
const airNearMs = 5 * 60_000;
/** A hold ends by itself this long after it was proved (or cooled), or when it has waited this long. */
const provedEndsMs = 10 * 60_000;
const coolsMs = 6 * 3_600_000;
const holdWaitsMs = 12 * 3_600_000;

/** Feeds a reading of the pot. */
export function feedHeld(
  hold: Hold,
  reading: { atMs: number; tempC: number; late: boolean },
  receivedMs: number,
): Happening[] {
  const { atMs, tempC, late } = reading;
  if (atMs < hold.sinceMs) return [];
  const { holdMs } = hold.window;
  if (late) {
    feedLate(hold.typed, { atMs, bad: badOf(hold, tempC, 0), holdMs });
    return afterLate(
      hold,
      feedLate(hold.guarded, { atMs, bad: badOf(hold, tempC, hold.marginC), holdMs }),
      receivedMs,
    );
  }
  feedInterval(hold.intervals, atMs);
  const intervalMs = intervalOf(hold.intervals);
  const allowedMs = intervalMs === null ? null : gapAllowedMs(intervalMs);
  addWorth(hold, atMs, tempC);
  hold.latest = { atMs, tempC };
  feedHeat(hold.bank, reading);
  if (isForecastDue(hold, atMs)) hold.forecastDueMs ??= receivedMs + burstMs;
  const clocked = { atMs, tempC, allowedMs, holdMs };
  feedHoldClock(hold.typed, { ...clocked, bad: badOf(hold, tempC, 0) });
  const broken = feedHoldClock(hold.guarded, { ...clocked, bad: badOf(hold, tempC, hold.marginC) });
  if (hold.proof !== null) return judgeCooled(hold, receivedMs);
  return [...afterBreak(hold, broken, receivedMs), ...judgeProved(hold, receivedMs)];
}

/** Feeds a reading of the air over the milk. */
export function feedHeldAir(hold: Hold, { atMs, tempC }: { atMs: number; tempC: number }): void {
  const { airLowC } = hold.window;
  if (hold.proof === null && hold.guarded.startMs !== null) {
    const { air } = hold;
    hold.air =
      air === null
        ? { firstMs: atMs, lastMs: atMs, leastC: tempC }
        : { ...air, lastMs: Math.max(air.lastMs, atMs), leastC: Math.min(air.leastC, tempC) };
    if (airLowC !== null && tempC < airLowC) noteBreak(hold, breakClock(hold.guarded, { why: 'air', atMs }));
  }
  if (tempC < 45) feedRoom(hold.bank, tempC);
}

/**
 * A restart of the daemon after an unknown span, or a probe that is not believed any more: what was held before it
 * proves nothing.
 */
export function restartHold(hold: Hold, atMs: number, why: 'restart' | 'doubted' = 'restart'): void {
  if (hold.proof !== null) return;
  breakClock(hold.typed, { why, atMs });
  noteBreak(hold, breakClock(hold.guarded, { why, atMs }));
}

/** Does what is due at `atMs`. */
export function tickHold(hold: Hold, atMs: number): Happening[] {
  if (hold.forecastDueMs === null || hold.forecastDueMs > atMs) return sayBreak(hold, atMs);
  hold.forecastDueMs = null;
  const outlook = forecastHold(hold.bank, holdQuestion(hold));
  hold.outlook = outlook;
  const events = sayBreak(hold, atMs);
  if (outlook === null) return events;
  hold.forecastDataMs = outlook.dataToMs;
  if (hold.proof !== null) return events;
  return [...events, ...judgeDrift(hold, outlook, atMs)];
}

/** When this hold wants the next tick; Infinity where only a reading can change anything. */
export function holdWakeMs(hold: Hold): number {
  return Math.min(hold.forecastDueMs ?? Infinity, holdEndsAtMs(hold));
}

/** When this hold ends by itself. */
export function holdEndsAtMs(hold: Hold): number {
  const { proof, window, cooledMs, latest, sinceMs } = hold;
  if (proof === null)
    return Math.max(sinceMs, latest?.atMs ?? sinceMs) + Math.max(holdWaitsMs, 2 * window.holdMs);
  if (window.coolToC === null) return proof.toMs + provedEndsMs;
  return cooledMs === null ? proof.toMs + coolsMs : cooledMs + provedEndsMs;
}

/** When the hold at the limit as typed was whole; null where it was not. */
export function holdCrossedAtMs(hold: Hold): number | null {
  return hold.typed.provedMs;
}

/** What the forecast is asked about this hold. */
export function holdQuestion(hold: Hold): HoldQuestion {
  const { window, marginC, guarded, proof, id } = hold;
  return {
    lowC: window.lowC,
    highC: window.highC,
    marginC,
    leftMs: proof === null ? window.holdMs - countedMs(guarded) : 0,
    isHolding: proof === null && guarded.startMs !== null,
    coolToC: proof === null ? null : window.coolToC,
    seed: id,
  };
}

function badOf({ window }: Hold, tempC: number, marginC: number): HoldBreak | null {
  if (tempC < window.lowC + marginC) return 'under';
  return window.highC !== null && tempC > window.highC - marginC ? 'over' : null;
}

function isForecastDue(hold: Hold, atMs: number): boolean {
  if (hold.forecastDataMs === null || hold.outlook === null) return true;
  const everyMs = Math.min(forecastEveryMs.most, Math.max(forecastEveryMs.least, hold.window.holdMs / 90));
  return atMs - hold.forecastDataMs >= everyMs;
}

function addWorth(hold: Hold, atMs: number, tempC: number): void {
  const { latest } = hold;
  if (latest === null || hold.proof !== null) return;
  const spanMs = atMs - latest.atMs;
  if (spanMs <= 0 || spanMs > worthGapMs) return;
  hold.worthMin += lethalityOf(latest.tempC, tempC, spanMs / 60_000, batchScale);
}

function noteBreak(hold: Hold, broken: Broken | null): void {
  if (broken === null) return;
  hold.air = null;
  // A waver adds nothing to what was broken before.
  if (broken.countedMs < worthSayingMs && hold.lastBreak !== null) return;
  hold.lastBreak = { why: broken.why, atMs: broken.atMs, provedMs: Math.round(broken.countedMs) };
}

/** Says a break that nobody was told of: one by the air, or by a restart, has no reading of its own. */
function sayBreak(hold: Hold, atMs: number): Happening[] {
  const { lastBreak } = hold;
  if (lastBreak === null || lastBreak.provedMs < worthSayingMs) return [];
  if (hold.saidBreakMs === lastBreak.atMs) return [];
  hold.saidBreakMs = lastBreak.atMs;
  hold.driftSaid = false;
  const { id: watch, window, marginC, latest } = hold;
  const body = {
    weight: 'warn',
    watch,
    window,
    marginC,
    why: lastBreak.why,
    atMs: lastBreak.atMs,
    heldMs: lastBreak.provedMs,
    tempC: latest?.tempC ?? null,
  } as const;
  return [sayOf(hold, { kind: 'hold-broken', atMs, body })];
}

function afterBreak(hold: Hold, broken: Broken | null, receivedMs: number): Happening[] {
  noteBreak(hold, broken);
  return broken === null ? [] : sayBreak(hold, receivedMs);
}

/** A late reading under the limit takes back what was proved, by an event that amends it. */
function afterLate(hold: Hold, broken: Broken | null, receivedMs: number): Happening[] {
  if (broken === null) return [];
  const amends = hold.proof === null ? null : lastSaid(hold, 'hold-proved');
  if (hold.proof !== null && hold.guarded.provedMs !== null) return [];
  hold.proof = null;
  noteBreak(hold, broken);
  const events = sayBreak(hold, receivedMs);
  const first = events[0];
  if (first !== undefined && amends !== null) events[0] = { ...first, amends };
  return events;
}

function judgeProved(hold: Hold, atMs: number): Happening[] {
  const { guarded, air, window, worthMin } = hold;
  const { startMs, provedMs } = guarded;
  if (startMs === null || provedMs === null) return [];
  const airKnown = air !== null && air.firstMs <= startMs + airNearMs && air.lastMs >= provedMs - airNearMs;
  const { refC, zC } = batchScale;
  hold.proof = {
    fromMs: startMs,
    toMs: provedMs,
    leastC: guarded.leastC,
    mostC: guarded.mostC,
    airLeastC: airKnown ? air.leastC : null,
    worth: { minutes: Math.round(worthMin * 1000) / 1000, refC, zC },
  };
  hold.forecastDueMs ??= atMs;
  const body = { weight: 'tell', watch: hold.id, window, marginC: hold.marginC, proof: hold.proof } as const;
  return [sayOf(hold, { kind: 'hold-proved', atMs, body })];
}

function judgeCooled(hold: Hold, atMs: number): Happening[] {
  const { window, cooledMs, latest } = hold;
  if (window.coolToC === null || cooledMs !== null || latest === null || latest.tempC > window.coolToC)
    return [];
  hold.cooledMs = latest.atMs;
  const body = { weight: 'tell', watch: hold.id, window, tempC: latest.tempC } as const;
  return [sayOf(hold, { kind: 'hold-cooled', atMs, body })];
}

function judgeDrift(hold: Hold, outlook: HoldOutlook, atMs: number): Happening[] {
  const { chance, leaves, side, dataToMs } = outlook;
  const events: Happening[] = [];
  const holding = hold.guarded.startMs !== null;
  const to = !holding
    ? 'unsure'
    : chance >= 0.65
      ? 'on-course'
      : chance <= 0.35
        ? 'not-on-course'
        : hold.verdict;
  if (to !== hold.verdict) {
    const body = { watch: hold.id, from: hold.verdict, to, chance, crossing: holdCrossingOf(hold, outlook) };
    hold.verdict = to;
    events.push(sayOf(hold, { kind: 'watch-turned', atMs, body }));
  }
  if (!holding || chance > driftRule.chance) hold.lowSinceMs = null;
  else hold.lowSinceMs ??= dataToMs;
  if (chance >= driftRule.back) hold.driftSaid = false;
  if (hold.lowSinceMs === null || hold.driftSaid || dataToMs - hold.lowSinceMs < driftRule.forMs)
    return events;
  if (side === null || leaves.p50 === null) return events;
  hold.driftSaid = true;
  const { id: watch, window, marginC } = hold;
  const provesAtMs = provesAtMsOf(hold);
  const body = {
    weight: 'warn',
    watch,
    window,
    marginC,
    side,
    leaves,
    provesAtMs,
    tempC: outlook.nowC,
  } as const;
  events.push(sayOf(hold, { kind: 'hold-will-drift', atMs, body }));
  return events;
}

/** When the hold is whole if nothing breaks it; null while it does not hold. */
export function provesAtMsOf({ guarded, window, proof }: Hold): number | null {
  if (proof !== null) return proof.toMs;
  return guarded.startMs === null ? null : guarded.startMs + window.holdMs;
}

/** When it will be proved, as quantiles: never where a break is likelier. */
export function holdCrossingOf(
  hold: Hold,
  outlook: HoldOutlook,
): { p10: number | null; p50: number | null; p90: number | null } {
  const at = provesAtMsOf(hold);
  if (at !== null) {
    const { chance } = outlook;
    return { p10: chance >= 0.1 ? at : null, p50: chance >= 0.5 ? at : null, p90: chance >= 0.9 ? at : null };
  }
  const { p10, p50, p90 } = outlook.enters;
  const then = (enterMs: number | null) => (enterMs === null ? null : enterMs + hold.window.holdMs);
  return { p10: then(p10), p50: then(p50), p90: then(p90) };
}
