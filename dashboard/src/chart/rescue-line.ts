/** The way out of a chill, as its chart shows it. Pure. */

import { rescueLatest, rescueName } from '../../../shared/sentences/rescue-words.ts';
import { clockText } from '../../../shared/sentences/speech.ts';
import { toUnits } from '../../../shared/units/format.ts';
import { wayOut } from '../words/way-out.ts';
import type { ChillPicture } from './chill-scene.ts';
import type { AheadPoint, RescueLine, SeenPoint } from './scene.ts';

/** The offered rescue of a picture's watch; null where there is none, or the milk is where it should be. */
export function rescueLine(
  { nowMs, speech, view }: ChillPicture,
  { ahead, last }: { ahead: readonly AheadPoint[]; last: SeenPoint | null },
): RescueLine | null {
  const rescue = wayOut(view, nowMs);
  if (rescue === null) return null;
  const start = last === null ? [] : [last];
  const path = rescue.path.map(({ atMs, p50C }) => ({ atMs, value: toUnits(p50C, speech.units) }));
  const { p10, p50, p90 } = rescue.crossing;
  const name = rescueName(rescue.kind);
  return {
    line: [...start, ...path.filter(({ atMs }) => last === null || atMs > last.atMs)],
    names: [name],
    crossing:
      p50 === null
        ? null
        : { kind: 'forecast', atMs: p50, lowMs: p10, highMs: p90, text: clockText(p50, speech) },
    latest: latestOf(rescue.lastUsefulAtMs, ahead, (atMs) => {
      const at = clockText(atMs, speech);
      const { long, short } = rescueLatest(rescue.kind);
      return [`${at} ${long}`, `${short} ${at}`, at];
    }),
  };
}

/** The moment on the dashed line; none where it is now or past. */
function latestOf(
  atMs: number | null,
  ahead: readonly AheadPoint[],
  namesOf: (atMs: number) => string[],
): RescueLine['latest'] {
  const from = ahead[0];
  if (atMs === null || from === undefined || atMs <= from.atMs) return null;
  const next = ahead.findIndex((point) => point.atMs >= atMs);
  const [before, after] = [ahead[next - 1], ahead[next]];
  if (before === undefined || after === undefined) return null;
  const share = (atMs - before.atMs) / Math.max(1, after.atMs - before.atMs);
  const value = before.mid + (after.mid - before.mid) * share;
  return { atMs, value, names: namesOf(atMs) };
}
