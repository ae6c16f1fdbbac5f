/** Which watches the page shows, and in which order. */

import type { WatchView } from '../../../shared/contract/api.ts';
import type { Speech } from '../../../shared/sentences/speech.ts';
import { type WatchSentence, watchSentence } from '../../../shared/sentences/watch-sentence.ts';

export type ShownWatch = { view: WatchView; sentence: WatchSentence };

/** Says each open watch and puts first the one that wants a hand, then one off course, then the soonest to come. */
export function orderWatches(
  watches: Iterable<WatchView>,
  { nowMs, speech }: { nowMs: number; speech: Speech },
): ShownWatch[] {
  return [...watches]
    .filter((view) => view.state !== 'ended')
    .map((view) => ({ view, sentence: watchSentence(view, speech, nowMs) }))
    .sort(
      (a, b) =>
        rank(a) - rank(b) || nextMs(a.view, nowMs) - nextMs(b.view, nowMs) || a.view.sinceMs - b.view.sinceMs,
    );
}

function rank({ sentence, view }: ShownWatch): number {
  if (sentence.handWanted) return 0;
  // It will want a hand as soon as a way out is known, so it must be seen before what goes well.
  return view.state === 'not-on-course' ? 1 : 2;
}

function nextMs(view: WatchView, nowMs: number): number {
  const toCome = [view.window.deadlineMs, view.forecast?.crossing.p50 ?? null].filter(
    (atMs): atMs is number => atMs !== null && atMs > nowMs,
  );
  return Math.min(...toCome);
}
