/** What will happen today, in the order of the clock. */

import type { WatchView } from '../../../shared/contract/api.ts';
import { offeredRescue } from '../../../shared/dairy/offered-rescue.ts';
import { iceAmount } from '../../../shared/sentences/rescue-words.ts';
import { limitText, nameOf, type Speech } from '../../../shared/sentences/speech.ts';
import { intervalText, windowName } from '../words/shown.ts';

export type Coming = {
  key: string;
  atMs: number;
  /** True where it has not happened yet and may come at another time: it is set slanted. */
  forecast: boolean;
  text: string;
  /** The interval of a forecast time. */
  small: string | null;
  /** True where a hand is wanted by then. */
  handWanted: boolean;
};

/** Lists deadlines and forecast crossings after `nowMs`, soonest first. */
export function listToCome(
  watches: readonly WatchView[],
  { nowMs, speech }: { nowMs: number; speech: Speech },
): Coming[] {
  return watches
    .flatMap((view) => [
      deadlineOf(view, speech),
      crossingOf(view, speech),
      latestOf(view, { nowMs, speech }),
    ])
    .filter((coming): coming is Coming => coming !== null && coming.atMs > nowMs)
    .sort((a, b) => a.atMs - b.atMs || (a.key < b.key ? -1 : 1));
}

function deadlineOf(view: WatchView, speech: Speech): Coming | null {
  if (view.state === 'made' || view.state === 'late') return null;
  return {
    key: `${view.id}-deadline`,
    atMs: view.window.deadlineMs,
    forecast: false,
    text: `${nameOf(speech, view.probe)}: the ${windowName(view.window.spanMs)} is up`,
    small: null,
    handWanted: false,
  };
}

function crossingOf(view: WatchView, speech: Speech): Coming | null {
  const crossing = view.forecast?.crossing;
  if (view.crossedAtMs !== null || crossing === undefined || crossing.p50 === null) return null;
  const interval = intervalText(crossing, speech);
  return {
    key: `${view.id}-crossing`,
    atMs: crossing.p50,
    forecast: true,
    text: `${nameOf(speech, view.probe)}: under ${limitText(view.window.limitC, speech)}`,
    small: interval?.includes('–') ? `between ${interval.replace('–', ' and ')}` : interval,
    handWanted: false,
  };
}

/** The last moment for the offered rescue: an instruction, so it stands upright. */
function latestOf(view: WatchView, { nowMs, speech }: { nowMs: number; speech: Speech }): Coming | null {
  const rescue = offeredRescue(view.forecast?.rescues ?? [], nowMs);
  if (rescue === null || rescue.lastUsefulAtMs === null) return null;
  return {
    key: `${view.id}-rescue`,
    atMs: rescue.lastUsefulAtMs,
    forecast: false,
    text: `${nameOf(speech, view.probe)}: latest for ice`,
    small: rescue.iceKg === null ? null : `put in ${iceAmount(rescue.iceKg)}`,
    handWanted: true,
  };
}
