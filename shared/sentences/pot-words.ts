import type { HappeningOf } from '../contract/event.ts';
import type { TempQuantiles } from '../contract/forecast.ts';
import type { HeatShort, HeatWindow } from '../contract/heat.ts';
import type { HoldBreak, HoldWindow } from '../contract/hold.ts';
import { formatTemp, formatTempDiff } from '../units/format.ts';
import { clockText, limitText, minutesText, type Speech } from './speech.ts';

/** A pot's temperature; tenths only near the target, rounded to the side that has not met it (over). */
export function potText(tempC: number, limitC: number, speech: Speech): string {
  if (Math.abs(tempC - limitC) >= 1.5) return formatTemp(tempC, { units: speech.units, digits: 0 });
  return formatTemp(tempC, { units: speech.units, digits: 1, nearLimit: { limitC, side: 'over' } });
}

/** A forecast temperature in whole degrees. */
export function nearText(tempC: number, speech: Speech): string {
  return formatTemp(tempC, { units: speech.units, digits: 0 });
}

/** What a heat is for: "190 °F" or "the boil". */
export function targetText({ limitC, toBoil }: HeatWindow, speech: Speech): string {
  return toBoil ? 'the boil' : limitText(limitC, speech);
}

/** How fast a pot climbs: "5.4 °F a minute". */
export function paceText(rateCPerMin: number, speech: Speech): string {
  return `${formatTempDiff(Math.abs(rateCPerMin), { units: speech.units, digits: 1 })} a minute`;
}

/** What a hold asks: "at or above 145 °F for 30 minutes". */
export function holdText({ lowC, highC, holdMs }: HoldWindow, speech: Speech): string {
  const between =
    highC === null
      ? `at or above ${limitText(lowC, speech)}`
      : `from ${limitText(lowC, speech)} to ${limitText(highC, speech)}`;
  return `${between} for ${minutesText(holdMs)}`;
}

/** Why a hold began again, in words. */
export function breakText(
  why: HoldBreak,
  { window, marginC }: { window: HoldWindow; marginC: number },
  speech: Speech,
): string {
  switch (why) {
    case 'under':
      return marginC > 0
        ? `a reading was not surely at ${limitText(window.lowC, speech)}`
        : `a reading was under ${limitText(window.lowC, speech)}`;
    case 'over':
      return `a reading was over ${limitText(window.highC ?? window.lowC, speech)}`;
    case 'gap':
      return 'the probe was silent for too long';
    case 'restart':
      return 'the house was off for an unknown time';
    case 'doubted':
      return 'the probe was not believed';
    case 'late-reading':
      return `a reading that came late was under ${limitText(window.lowC, speech)}`;
    case 'air':
      return `the air over the milk was under ${limitText(window.airLowC ?? window.lowC, speech)}`;
    default:
      return why satisfies never;
  }
}

/** What a batch pair's outcome must say of the air over the milk; empty for other holds. */
export function airText(
  { window, airLeastC }: { window: HoldWindow; airLeastC: number | null },
  speech: Speech,
): string {
  if (window.pair === null) return '';
  if (airLeastC === null) return 'The air over the milk was not measured.';
  return `The air over the milk was ${nearText(airLeastC, speech)} or more.`;
}

/** Where a pot that will not get there stops, and what would help. */
export function shortText(
  of: {
    short: HeatShort;
    window: HeatWindow;
    level: TempQuantiles;
    boilsC: number;
    withLid: boolean;
    crossingMs: number | null;
  },
  speech: Speech,
): string {
  const target = targetText(of.window, speech);
  switch (of.short) {
    case 'levels-off':
      return of.withLid
        ? `without a lid it stops near ${nearText(of.level.p50, speech)}; put the lid on to get to ${target}.`
        : `it stops near ${nearText(of.level.p50, speech)}, short of ${target}; turn the heat up.`;
    case 'boils-below':
      return `milk boils at ${nearText(of.boilsC, speech)} at this height, so ${target} cannot be reached in an open pot.`;
    case 'too-slow':
      return of.crossingMs === null
        ? `it will not get to ${target} in time; turn the heat up.`
        : `it gets to ${target} near ${clockText(of.crossingMs, speech)}, too late; turn the heat up.`;
    case 'cooling':
      return `it is cooling, short of ${target}; is the heat still on?`;
    case 'not-warming':
      return 'it does not warm; is the heat on?';
    default:
      return of.short satisfies never;
  }
}

type PotKind =
  | 'heat-near'
  | 'heat-off-now'
  | 'heat-will-not-reach'
  | 'heat-reached'
  | 'heat-over'
  | 'heat-missed'
  | 'heat-stir'
  | 'hold-broken'
  | 'hold-will-drift'
  | 'hold-proved'
  | 'hold-cooled';
export type PotNotice = { [K in PotKind]: HappeningOf<K> }[PotKind];

/** Says what a pot's notice tells, without whose pot it is. */
export function potNoticeText(event: PotNotice, speech: Speech): string {
  switch (event.kind) {
    case 'heat-near': {
      const near = event.body.crossing.p50;
      const when = near === null ? 'soon' : `near ${clockText(near, speech)}`;
      return `nearly there: ${targetText(event.body.window, speech)} ${when}.`;
    }
    case 'heat-off-now':
      return heatOffText(event.body, speech);
    case 'heat-will-not-reach': {
      const { withLid, crossing } = event.body;
      return shortText({ ...event.body, withLid: withLid !== null, crossingMs: crossing.p50 }, speech);
    }
    case 'heat-reached':
      return reachedText(event.body, speech);
    case 'heat-over':
      return `it is at ${nearText(event.body.tempC, speech)} and still climbs past ${targetText(event.body.window, speech)}; take it off the heat.`;
    case 'heat-missed':
      return event.body.tempC === null
        ? `its time is up and it was not heard at ${targetText(event.body.window, speech)}.`
        : `its time is up at ${potText(event.body.tempC, event.body.window.limitC, speech)}, short of ${targetText(event.body.window, speech)}.`;
    case 'heat-stir':
      return `stir the bottom: it climbs ${paceText(event.body.rateCPerMin, speech)}, and milk that climbs fast scorches.`;
    case 'hold-broken':
      return `the clock begins again: ${breakText(event.body.why, event.body, speech)}, after ${minutesText(event.body.heldMs)}.`;
    case 'hold-will-drift':
      return driftText(event.body, speech);
    case 'hold-proved':
      return provedText(event.body, speech);
    case 'hold-cooled':
      return `cooled to ${limitText(event.body.window.coolToC ?? event.body.tempC, speech)}.`;
    default:
      return event satisfies never;
  }
}

function heatOffText({ window, coast }: HappeningOf<'heat-off-now'>['body'], speech: Speech): string {
  if (window.holdAfter !== null) {
    return `turn the heat down low now; it climbs on to about ${nearText(coast.p50, speech)} by itself, and the hold follows.`;
  }
  return `heat off now; it climbs on to about ${nearText(coast.p50, speech)} by itself.`;
}

function reachedText(body: HappeningOf<'heat-reached'>['body'], speech: Speech): string {
  const { window, crossedAtMs, marginC, sure } = body;
  const at = `at ${targetText(window, speech)} since ${clockText(crossedAtMs, speech)}`;
  if (sure || marginC === 0 || window.toBoil) return `${at}.`;
  return `${at} on the probe; sure from ${potText(window.limitC + marginC, window.limitC, speech)}.`;
}

function driftText(body: HappeningOf<'hold-will-drift'>['body'], speech: Speech): string {
  const { window, side, leaves } = body;
  const limitC = side === 'under' ? window.lowC : (window.highC ?? window.lowC);
  const near = leaves.p50 === null ? 'soon' : `near ${clockText(leaves.p50, speech)}`;
  const hand = side === 'under' ? 'a little more heat' : 'a little less heat';
  return `it goes ${side} ${limitText(limitC, speech)} ${near}, before its time is up; ${hand}.`;
}

/** What was held, and only that. */
export function provedText(
  { window, marginC, proof }: Pick<HappeningOf<'hold-proved'>['body'], 'window' | 'marginC' | 'proof'>,
  speech: Speech,
): string {
  const margin = formatTempDiff(Math.max(0, proof.leastC - window.lowC), { units: speech.units, digits: 1 });
  const beyond = marginC > 0 ? `, margin ${margin}` : '';
  const air = airText({ window, airLeastC: proof.airLeastC }, speech);
  const said = `${holdText(window, speech)} at the probe${beyond}; not a legal record.`;
  return air === '' ? said : `${said} ${air}`;
}
