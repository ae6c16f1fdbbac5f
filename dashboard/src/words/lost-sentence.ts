import { clockText, fixed, type Speech } from '../../../shared/sentences/speech.ts';
import type { WatchSentence } from '../../../shared/sentences/watch-sentence.ts';

/** Says that the house itself is not heard; nothing on the page may look live while it stands there. */
export function lostSentence(heardAtMs: number, speech: Speech): WatchSentence {
  return {
    word: 'No word from the house',
    say: [fixed(`Last heard at ${clockText(heardAtMs, speech)}.`)],
    or: [fixed('All that stands below is as it was then. This page keeps asking.')],
    notes: [],
    handWanted: false,
  };
}
