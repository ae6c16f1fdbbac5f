/** What is said of the window that a region's rule sets around a chill. */
import type { EventBody, OuterWindow } from '../contract/event.ts';
import { type CoolingRule, coolingRules } from '../dairy/cooling-rules.ts';
import { coldCaution, missedCaution } from './chill-words.ts';
import { rescueCautions, rescueImperative } from './rescue-words.ts';
import { clockText, limitText, milkText, type Speech } from './speech.ts';

/** Whose rule it is: "US raw retail"; the name in the house file where this release knows no other. */
export function ruleName({ rule }: OuterWindow): string {
  return (coolingRules as Readonly<Record<string, CoolingRule>>)[rule]?.name ?? rule;
}

/** What a rule asks: "40 °F and under by 8:42, counted from the end of milking". */
export function outerAsks(window: OuterWindow, speech: Speech): string {
  const from = window.from === 'milking-start' ? 'the start of milking' : 'the end of milking';
  return `${limitText(window.limitC, speech)} and under by ${clockText(window.deadlineMs, speech)}, counted from ${from}`;
}

/** Says that milk will miss its region's rule, too, with what to do about it. */
export function outerWillMissText(body: EventBody<'outer-will-miss'>, atMs: number, speech: Speech): string {
  const asks = `${ruleName(body.window)} asks ${outerAsks(body.window, speech)}.`;
  const miss = 'It will miss that, too, as it is going.';
  if (body.rescue === null) return `${asks} ${miss}`;
  const todo = rescueImperative(body.rescue, atMs, speech).replace(/,$/, '.');
  return `${todo.charAt(0).toLowerCase()}${todo.slice(1)} ${asks} ${miss} ${rescueCautions(body.rescue.cautions).join(' ')}`.trim();
}

/** Says that milk has missed its region's rule. */
export function outerMissedText(body: EventBody<'outer-missed'>, speech: Speech): string {
  const { tempC, window } = body;
  const was =
    tempC === null
      ? 'It was not heard near the time that its rule sets.'
      : `It was ${milkText(tempC, window.limitC, speech)} at ${clockText(window.deadlineMs, speech)}.`;
  return `${was} ${ruleName(window)} asks ${outerAsks(window, speech)}. ${missedCaution}`;
}

/** Says that milk is in its region's rule after all. */
export function outerMadeText({ crossedAtMs, window }: EventBody<'outer-made'>, speech: Speech): string {
  return `surely under ${limitText(window.limitC, speech)} at ${clockText(crossedAtMs, speech)}; ${ruleName(window)} asks ${outerAsks(window, speech)}. ${coldCaution}`;
}
