/** When readings came late, for the picture of a span. Wiring. */
import type { LateStretch } from '../shared/contract/export.ts';
import { readingFlags } from '../shared/contract/input.ts';
import type { Reader } from './reader.ts';

/** The most readings that are looked through for one answer; of more nothing is said. */
export const lateLookMax = 200_000;

/** The most stretches of one answer; further ones are joined to the last. */
const stretchesMax = 500;

/** Late readings so far apart are of two stretches, ms. */
const apartMs = 600_000;

/** Returns where late readings stand in a span; null where it holds more than `lateLookMax` readings. */
export async function lateStretchesOf(
  reader: Pick<Reader, 'range' | 'rawRange'>,
  span: { probe: string; fromMs: number; toMs: number },
): Promise<LateStretch[] | null> {
  const [whole] = await reader.range({ ...span, points: 1 });
  if (whole === undefined) return [];
  if (whole.count > lateLookMax) return null;
  const found: LateStretch[] = [];
  for await (const slice of reader.rawRange(span)) {
    for (const { atMs, flags } of slice) {
      // What a file brought was never heard, early or late.
      if ((flags & (readingFlags.late | readingFlags.imported)) !== readingFlags.late) continue;
      const last = found.at(-1);
      if (last === undefined || (atMs - last.toMs > apartMs && found.length < stretchesMax)) {
        found.push({ fromMs: atMs, toMs: atMs + 1, count: 1 });
      } else {
        last.toMs = atMs + 1;
        last.count += 1;
      }
    }
  }
  return found;
}
