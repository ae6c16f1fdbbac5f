/** What is said of a watch's forecast path. Pure. */

import type { ProbeView, WatchView } from '../../../shared/contract/api.ts';
import type { PathPoint } from '../../../shared/contract/forecast.ts';
import { rescueName } from '../../../shared/sentences/rescue-words.ts';
import { placeText } from '../words/shown.ts';

/** Names the dashed line, from the longest to the shortest. */
export function aheadNames(view: WatchView, probe: ProbeView | null): string[] {
  if (view.state === 'silent') return ['by its last curve'];
  const taken = view.taken?.at(-1);
  if (taken !== undefined) return [rescueName(taken.kind), 'as it is going'];
  const place = probe === null ? null : placeText(probe.place);
  return place === null ? ['left as it is'] : [`left ${place}`, 'left as it is'];
}

/** Where the middle of the forecast path is at an instant, °C; null before its start or after its end. */
export function curveNowC(view: WatchView, atMs: number): number | null {
  return pathC(view.forecast?.path ?? [], atMs);
}

/** Where the middle of a path is at an instant, °C; null before its start or after its end. */
export function pathC(path: readonly PathPoint[], atMs: number): number | null {
  for (const [index, point] of path.entries()) {
    if (point.atMs < atMs) continue;
    const before = path[index - 1];
    if (before === undefined) return point.atMs === atMs ? point.p50C : null;
    const share = (atMs - before.atMs) / (point.atMs - before.atMs);
    return before.p50C + (point.p50C - before.p50C) * share;
  }
  return null;
}
