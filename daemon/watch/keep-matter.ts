/** When a keep speaks: one notice a matter, alarm by the patterns of excursions, quiet where it repeats. */
import type { Happening, Weight } from '../../shared/contract/event.ts';
import type { InstantQuantiles, TempQuantiles, Verdict } from '../../shared/contract/forecast.ts';
import type { ExcursionRule, KeepCause, KeepSide } from '../../shared/contract/keep.ts';
import { milkFreezesC } from '../../shared/dairy/milk-freezing.ts';
import { mayDefrost } from '../forecast/keep-cause.ts';
import type { KeepOutlook } from '../forecast/keep-forecast.ts';
import { feedExcursion, isContinuous } from './excursion.ts';
import { causeOf, type Keep, type Matter } from './keep.ts';
import { dayOf } from './keep-day.ts';
import { lastSaid, sayOf } from './saying.ts';

const minuteMs = 60_000;

/**
 * The patterns that raise an alarm, after those of cold-store loggers (WHO PQS E006): far beyond at once,
 * surely beyond without a break, beyond in all of one day. 4 h in all is the FDA Food Code's time as a
 * control (3-501.19); far is 5 °F beyond; freezing counts from an hour on.
 */
export const alarmRules = {
  farC: 2.78,
  continuousMs: 15 * minuteMs,
  cumulativeMs: 4 * 60 * minuteMs,
  coldMs: 60 * minuteMs,
} as const;

/** How far ahead a leaving is worth a word, by cause. */
const aheadMs = (cause: KeepCause) => (cause === 'failing' ? 24 : 12) * 60 * minuteMs;
/** How long a condition must hold before it is told, and be gone before it is over. */
const holdsForMs = (cause: KeepCause) => (cause === 'warming' ? 6 : 2) * minuteMs;
const goneForMs = 12 * minuteMs;
/** The milk must be back by this much, °C. */
const backByC = 0.2;
/** What may leave this soon is told though it may still be a usual spell of warmth; later where a defrost is due. */
const urgentMs = { due: 25 * minuteMs, else: 45 * minuteMs } as const;
/** A matter of the same cause within this span of the last is told more quietly. */
const quietMs = 6 * 60 * minuteMs;
/** Freezing within this span is worth a word. */
const freezeAheadMs = 4 * 60 * minuteMs;

/** Takes over the keep's matter after a new outlook, and says what is to be said. */
export function judgeMatter(keep: Keep, atMs: number): Happening[] {
  const outlook = keep.outlook as KeepOutlook;
  feedExcursions(keep, outlook);
  const found = findMatter(keep, outlook);
  const events: Happening[] = [];
  if (found !== null && keep.matter === null) {
    keep.matter = openMatter(found, outlook, atMs);
  }
  const { matter } = keep;
  if (matter === null) return events;
  if (found === null) {
    matter.holdsSinceMs = null;
    matter.goneSinceMs ??= outlook.dataToMs;
    if (outlook.dataToMs - matter.goneSinceMs >= goneForMs && isBack(keep, matter)) {
      events.push(...closeMatter(keep, matter, atMs));
    }
    return events;
  }
  matter.goneSinceMs = null;
  matter.holdsSinceMs ??= outlook.dataToMs;
  matter.mostC = extreme(matter.side, matter.mostC, outlook.milk.p50);
  events.push(...tellMatter(keep, matter, found, atMs), ...leave(keep, matter, atMs));
  return events;
}

/** The verdict of a keep: not on course while a matter was told. */
export function keepVerdict(keep: Keep): Verdict {
  if (keep.matter?.told === true) return 'not-on-course';
  return keep.outlook === null || keep.telling.cause === 'settling' ? 'unsure' : 'on-course';
}

/** When it leaves on the side that matters. */
export function crossingOf(keep: Keep, outlook: KeepOutlook): InstantQuantiles {
  if (keep.matter !== null) return keep.matter.side === 'warm' ? outlook.warm : outlook.cold;
  const { warm, cold } = outlook;
  if (warm.p50 === null && cold.p50 !== null) return cold;
  return warm;
}

type Found = { side: KeepSide; cause: KeepCause; rule: ExcursionRule | null };

function feedExcursions(keep: Keep, { milk, dataToMs: atMs }: KeepOutlook): void {
  const { lowC, highC } = keep.window;
  const { excursions, marginC } = keep;
  if (highC !== null) {
    const sure = { atMs, tempC: milk.p10 - marginC };
    excursions.sure = feedExcursion(excursions.sure, { side: 'warm', limitC: highC }, sure);
    excursions.far = feedExcursion(excursions.far, { side: 'warm', limitC: highC + alarmRules.farC }, sure);
  }
  if (lowC !== null) {
    const cold = { atMs, tempC: milk.p50 };
    excursions.cold = feedExcursion(excursions.cold, { side: 'cold', limitC: lowC }, cold);
  }
}

/** Which rule says that the milk has left; null where none does. */
function ruleOf(keep: Keep, side: KeepSide): ExcursionRule | null {
  const { excursions } = keep;
  if (side === 'cold') return isContinuous(excursions.cold, alarmRules.coldMs) ? 'continuous' : null;
  if (isContinuous(excursions.far, 0)) return 'single';
  if (isContinuous(excursions.sure, alarmRules.continuousMs)) return 'continuous';
  return dayOf(keep).milkOverMs >= alarmRules.cumulativeMs ? 'cumulative' : null;
}

function findMatter(keep: Keep, outlook: KeepOutlook): Found | null {
  const cause = causeOf(keep);
  const now = outlook.dataToMs;
  const rule = keep.window.highC === null ? null : ruleOf(keep, 'warm');
  if (rule !== null && (rule !== 'cumulative' || outlook.milk.p50 > (keep.window.highC as number)))
    return { side: 'warm', cause, rule };
  if (isFault(cause) && !isUnsettled(keep, cause) && isNear(keep, outlook, cause)) {
    return { side: 'warm', cause, rule: null };
  }
  const coldRule = keep.window.lowC === null ? null : ruleOf(keep, 'cold');
  const cold = outlook.cold.p50;
  if (coldRule !== null) return { side: 'cold', cause: 'too-cold', rule: coldRule };
  if (cold !== null && cold - now <= freezeAheadMs) return { side: 'cold', cause: 'too-cold', rule: null };
  return null;
}

/** A door that was just shut leaves the air warm for some minutes: no new fault is told of it meanwhile. */
function isUnsettled({ telling, matter }: Keep, cause: KeepCause): boolean {
  if (matter?.told === true || cause === 'door-ajar') return false;
  return telling.door?.shut === true && telling.door.leftC === null;
}

/**
 * Whether a leaving is near enough for a word. What the air tells in its first minutes may be a defrost or a
 * long look inside: until it has outlasted those, only what may leave soon counts.
 */
function isNear(
  { telling, trace, matter }: Keep,
  { warm, dataToMs }: KeepOutlook,
  cause: KeepCause,
): boolean {
  const early = cause === 'cooling-stopped' || cause === 'door-ajar' || cause === 'power-off';
  if (!early || telling.overdue || matter?.told === true) {
    return warm.p50 !== null && warm.p50 - dataToMs <= aheadMs(cause);
  }
  const due = mayDefrost(telling, trace);
  const at = due ? warm.p50 : warm.p10;
  return at !== null && at - dataToMs <= (due ? urgentMs.due : urgentMs.else);
}

function isFault(cause: KeepCause): boolean {
  switch (cause) {
    case 'door-ajar':
    case 'cooling-stopped':
    case 'power-off':
    case 'failing':
    case 'warming':
      return true;
    case 'settling':
    case 'usual':
    case 'door-open':
    case 'defrost':
    case 'warm-load':
    case 'too-cold':
      return false;
    default:
      return cause satisfies never;
  }
}

function openMatter({ side, cause }: Found, outlook: KeepOutlook, atMs: number): Matter {
  return {
    side,
    cause,
    sinceMs: atMs,
    holdsSinceMs: outlook.dataToMs,
    goneSinceMs: null,
    told: false,
    leftAtMs: null,
    leftBy: null,
    mostC: outlook.milk.p50,
  };
}

function tellMatter(keep: Keep, matter: Matter, found: Found, atMs: number): Happening[] {
  const outlook = keep.outlook as KeepOutlook;
  const holdsMs = outlook.dataToMs - (matter.holdsSinceMs as number);
  const renamed = matter.told && found.cause === 'power-off' && matter.cause !== 'power-off';
  if (!matter.told) matter.cause = found.cause;
  if (renamed) {
    matter.cause = found.cause;
    return [willLeave(keep, matter, { atMs, weight: 'tell', amends: lastSaid(keep, 'keep-will-leave') })];
  }
  if (matter.told || (holdsMs < holdsForMs(found.cause) && found.rule === null)) return [];
  const from = keepVerdict(keep);
  matter.told = true;
  const turned = turnedTo(keep, from, atMs);
  // What has left already is said as that.
  if (found.rule !== null) return turned;
  if (matter.side === 'cold') return [...turned, freezeNear(keep, outlook, atMs)];
  return [
    ...turned,
    willLeave(keep, matter, { atMs, weight: weightOf(keep, matter.cause, atMs, 'warn'), amends: null }),
  ];
}

/** A freezer only tells, and what repeats within hours is only told. */
function weightOf(keep: Keep, cause: KeepCause, atMs: number, weight: Weight): Weight {
  const { lastMatter } = keep;
  if (!keep.alarms) return 'tell';
  const repeats = lastMatter !== null && lastMatter.cause === cause && atMs - lastMatter.endedMs < quietMs;
  return repeats && weight === 'warn' ? 'tell' : weight;
}

function willLeave(
  keep: Keep,
  matter: Matter,
  say: { atMs: number; weight: Weight; amends: string | null },
): Happening {
  const outlook = keep.outlook as KeepOutlook;
  const body = {
    weight: say.weight,
    watch: keep.id,
    window: keep.window,
    side: matter.side,
    cause: matter.cause,
    causeSinceMs: Math.round(keep.powerOffMs ?? keep.telling.sinceMin * minuteMs),
    chance: outlook.chance,
    crossing: crossingOf(keep, outlook),
    milk: outlook.milk,
  };
  const amends = say.amends === null ? {} : { amends: say.amends };
  return sayOf(keep, { kind: 'keep-will-leave', atMs: say.atMs, body, ...amends });
}

function freezeNear(keep: Keep, outlook: KeepOutlook, atMs: number): Happening {
  const weight = weightOf(keep, 'too-cold', atMs, 'warn');
  const nearMs = outlook.cold.p50 ?? outlook.dataToMs;
  const body = { weight, watch: keep.id, nearMs, tempC: outlook.milk.p50, freezesC: milkFreezesC };
  return sayOf(keep, { kind: 'freeze-near', atMs, body });
}

function leave(keep: Keep, matter: Matter, atMs: number): Happening[] {
  const { milk, dataToMs } = keep.outlook as KeepOutlook;
  if (isBeyond(keep, matter.side, milk.p50)) matter.leftAtMs ??= dataToMs;
  const rule = ruleOf(keep, matter.side);
  if (rule === null || matter.leftBy !== null) return [];
  matter.leftBy = rule;
  matter.leftAtMs ??= dataToMs;
  const beyondMs = rule === 'cumulative' ? dayOf(keep).milkOverMs : dataToMs - matter.leftAtMs;
  const { id: watch, window, marginC: _ } = keep;
  const { side, cause, leftAtMs } = matter;
  const weight: Weight = keep.alarms ? 'alarm' : 'tell';
  const body = { weight, watch, window, side, cause, rule, leftAtMs, beyondMs: Math.round(beyondMs), milk };
  return [sayOf(keep, { kind: 'keep-left', atMs, body })];
}

function isBeyond({ window }: Keep, side: KeepSide, tempC: number): boolean {
  if (side === 'warm') return window.highC !== null && tempC > window.highC;
  return window.lowC !== null && tempC < window.lowC;
}

function isBack(keep: Keep, { side, leftAtMs }: Matter): boolean {
  const { milk } = keep.outlook as KeepOutlook;
  const { lowC, highC } = keep.window;
  const byC = leftAtMs === null ? 0 : backByC;
  if (side === 'warm') return highC === null || milk.p50 <= highC - byC;
  return lowC === null || milk.p50 >= lowC + byC;
}

function closeMatter(keep: Keep, matter: Matter, atMs: number): Happening[] {
  const from = keepVerdict(keep);
  keep.matter = null;
  if (!matter.told) return [];
  keep.lastMatter = { cause: matter.cause, endedMs: atMs };
  const { milk } = keep.outlook as KeepOutlook as { milk: TempQuantiles };
  const { side, cause, leftAtMs } = matter;
  const mostC = leftAtMs === null ? null : matter.mostC;
  const body = {
    weight: 'tell',
    watch: keep.id,
    window: keep.window,
    side,
    cause,
    leftAtMs,
    mostC,
    milk,
  } as const;
  return [...turnedTo(keep, from, atMs), sayOf(keep, { kind: 'keep-back', atMs, body })];
}

function turnedTo(keep: Keep, from: Verdict, atMs: number): Happening[] {
  const to = keepVerdict(keep);
  if (from === to) return [];
  const outlook = keep.outlook as KeepOutlook;
  const body = { watch: keep.id, from, to, chance: outlook.chance, crossing: crossingOf(keep, outlook) };
  return [sayOf(keep, { kind: 'watch-turned', atMs, body })];
}

function extreme(side: KeepSide, a: number, b: number): number {
  return side === 'warm' ? Math.max(a, b) : Math.min(a, b);
}
