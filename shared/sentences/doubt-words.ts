/** What is said of a probe whose readings are not believed. */
import type { DoubtWhy, EventBody } from '../contract/event.ts';
import { clockText, fixed, nameOf, type Speech } from './speech.ts';
import type { WatchSentence } from './watch-sentence.ts';

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
    case 'touching-bottom':
      return 'it reads too hot and jumps; its tip may touch the bottom of the pot';
    case 'out-of-milk':
      return 'it falls faster than milk can; it may hang in the air';
    default:
      return why satisfies never;
  }
}

/** What mends a probe that is doubted, as an imperative. */
export function doubtMend(why: DoubtWhy): string {
  switch (why) {
    case 'open-or-shorted':
      return 'See to its plug and its wire.';
    case 'power-on':
      return 'See to its power and its plug.';
    case 'wandering':
      return 'Push its plug home and keep its wire still.';
    case 'stuck':
      return 'Hold its tip in your hand for a moment: where the number stays, the probe wants changing.';
    case 'touching-bottom':
      return 'Lift its tip off the bottom and stir.';
    case 'out-of-milk':
      return 'Put its tip back into the milk.';
    default:
      return why satisfies never;
  }
}

/** What stands for a watch while its probe is not believed: look yourself, why, and what mends it. */
export function doubtedSentence(
  view: { probe: string; doubt?: { why: DoubtWhy; sinceMs: number } | null | undefined },
  speech: Speech,
): WatchSentence {
  const { doubt, probe } = view;
  const why = doubt ? `${doubtReason(doubt.why)}.` : 'its readings do not fit each other.';
  return {
    word: 'Probe doubted',
    say: [fixed(`Look at the probe of ${nameOf(speech, probe)},`)],
    or: [fixed(why)],
    notes: doubt ? [doubtMend(doubt.why), `Not believed since ${clockText(doubt.sinceMs, speech)}.`] : [],
    handWanted: true,
  };
}

/** Says that a probe is doubted, why where that is known, and what to do. */
export function doubtedText({ sinceMs, why }: EventBody<'probe-doubted'>, speech: Speech): string {
  const look = 'Look at the milk yourself, then at the probe.';
  if (why === undefined || sinceMs === undefined)
    return `what the probe said could not be judged and was set aside. ${look}`;
  return `the probe is not believed since ${clockText(sinceMs, speech)}: ${doubtReason(why)}. ${look} ${doubtMend(why)}`;
}
