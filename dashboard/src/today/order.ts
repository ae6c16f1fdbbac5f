/** Which watches the page shows, and in which order. */

import type { AnyWatchView, HouseView, WatchView } from '../../../shared/contract/api.ts';
import type { KeepView } from '../../../shared/contract/keep-view.ts';
import type { HeatView, HoldView } from '../../../shared/contract/pot-view.ts';
import { keepSentence } from '../../../shared/sentences/keep-words.ts';
import { heatSentence, holdSentence } from '../../../shared/sentences/pot-sentence.ts';
import type { Speech } from '../../../shared/sentences/speech.ts';
import { type WatchSentence, watchSentence } from '../../../shared/sentences/watch-sentence.ts';
import { placeSpeech } from '../words/shown.ts';

/** Views that the page has a picture for. */
export type ShownView = WatchView | KeepView | HeatView | HoldView;

export type ShownWatch<View extends ShownView = ShownView> = { view: View; sentence: WatchSentence };

/**
 * Says each open watch and puts first the one that wants a hand, then one off course, then the soonest to
 * come; what keeps stands last.
 */
export function orderWatches(
  watches: Iterable<AnyWatchView>,
  { nowMs, places, speech }: { nowMs: number; places: HouseView['places']; speech: Speech },
): ShownWatch[] {
  return [...watches]
    .filter((view) => view.state !== 'ended')
    .map((view) => ({ view, sentence: sentenceOf(view, { nowMs, places, speech }) }))
    .sort(
      (a, b) =>
        rank(a) - rank(b) || nextMs(a.view, nowMs) - nextMs(b.view, nowMs) || a.view.sinceMs - b.view.sinceMs,
    );
}

function sentenceOf(
  view: ShownView,
  { nowMs, places, speech }: { nowMs: number; places: HouseView['places']; speech: Speech },
): WatchSentence {
  if (view.kind === 'chill') return watchSentence(view, speech, nowMs);
  if (view.kind === 'heat') return heatSentence(view, speech, nowMs);
  if (view.kind === 'hold') return holdSentence(view, speech, nowMs);
  return keepSentence(view, placeSpeech(view, { places, speech }), nowMs);
}

function rank({ sentence, view }: ShownWatch): number {
  if (sentence.handWanted) return 0;
  // It will want a hand as soon as a way out is known, so it must be seen before what goes well.
  if (view.state === 'not-on-course') return 1;
  return view.kind === 'keep' ? 3 : 2;
}

/** The next instant that matters; far off where there is none, so that differences stay numbers. */
function nextMs(view: ShownView, nowMs: number): number {
  const deadlineMs = view.kind === 'chill' ? view.window.deadlineMs : null;
  const toCome = [deadlineMs, view.forecast?.crossing.p50 ?? null].filter(
    (atMs): atMs is number => atMs !== null && atMs > nowMs,
  );
  return Math.min(Number.MAX_SAFE_INTEGER, ...toCome);
}
