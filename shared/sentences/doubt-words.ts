/** What is said of a probe whose readings are not believed. */
import type { DoubtWhy, EventBody } from '../contract/event.ts';
import { clockText, type Speech } from './speech.ts';

/** Why a probe is doubted, in words: "its wire may be broken or shorted". */
export function doubtReason(why: DoubtWhy): string {
  switch (why) {
    case 'open-or-shorted':
      return 'its wire may be broken or shorted';
    case 'power-on':
      return 'it shows what it shows after losing power';
    case 'wandering':
      return 'it jumps as no milk does; a contact may be loose';
    case 'stuck':
      return 'it shows one value while the milk must be changing';
    default:
      return why satisfies never;
  }
}

/** Says that a probe is doubted, why where that is known, and what to do. */
export function doubtedText({ sinceMs, why }: EventBody<'probe-doubted'>, speech: Speech): string {
  const todo = 'Look at the milk yourself, then at the probe.';
  if (why === undefined || sinceMs === undefined)
    return `what the probe said could not be judged and was set aside. ${todo}`;
  return `the probe is not believed since ${clockText(sinceMs, speech)}: ${doubtReason(why)}. ${todo}`;
}
