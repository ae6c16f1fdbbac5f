import type { ChillWindow } from '../contract/event.ts';
import { clockText, limitText, milkText, minutesText, type Speech, spanName } from './speech.ts';

/** From what the hour counts, in words. */
export function originText(window: ChillWindow): string {
  switch (window.origin) {
    case 'milking':
      return 'the end of milking';
    case 'insertion':
      return 'the milk went in';
    case 'word':
      return 'the start you gave';
    case 'first-reading':
      return 'the first reading';
    default:
      return window.origin satisfies never;
  }
}

/** How long after its origin something happened: "54 minutes after the milk went in". */
export function afterOrigin(window: ChillWindow, atMs: number): string {
  return `${minutesText(atMs - window.originMs)} after ${originText(window)}`;
}

/** Reads of a limit met only within the probe's uncertainty: "39.6 °F on the probe; sure below 39.1 °F." */
export function notYetSure(
  tempC: number,
  limit: { limitC: number; marginC: number },
  speech: Speech,
): string {
  const sureBelow = milkText(limit.limitC - limit.marginC, limit.limitC, speech);
  return `${milkText(tempC, limit.limitC, speech)} on the probe; sure below ${sureBelow}.`;
}

/** What it was when the window closed; null where it was not heard then. */
export function wasWhenUp(
  tempC: number | null,
  at: { window: ChillWindow; marginC: number },
  speech: Speech,
): string {
  const { window, marginC } = at;
  const span = spanName(window.spanMs);
  if (tempC === null) {
    return `Its ${span.name} ${span.are} up and it is not known to be under ${limitText(window.limitC, speech)}.`;
  }
  const was = span.are === 'is' ? 'was' : 'were';
  if (tempC <= window.limitC) {
    const sure = notYetSure(tempC, { limitC: window.limitC, marginC }, speech);
    return `When its ${span.name} ${was} up it was ${sure}`;
  }
  return `It was ${milkText(tempC, window.limitC, speech)} when its ${span.name} ${was} up.`;
}

/** What a missed house rule is, and is not. */
export const houseRuleOnly = 'That is your house rule, not a safety limit.';

/** What to do about milk that missed it. */
export const missedCaution = 'Follow local rules; when in doubt, don’t drink it raw.';

/** What cold does to raw milk. */
export const coldCaution = 'Cold slows germs, it does not remove them.';

/** That the hour goes by a clock that may be wrong, with a blank before; nothing where the time is known. */
export function unsureClock({ clockUnsureFromMs }: ChillWindow): string {
  if (clockUnsureFromMs === undefined) return '';
  return ' The house does not know the time since it was started again, nor for how long it was off: times may be wrong.';
}

/** Under the limit after the deadline: "Under 40 °F at 8:31, 49 minutes late." */
export function underLate(crossedAtMs: number, window: ChillWindow, speech: Speech): string {
  const late = minutesText(crossedAtMs - window.deadlineMs);
  return `Under ${limitText(window.limitC, speech)} at ${clockText(crossedAtMs, speech)}, ${late} late.`;
}
