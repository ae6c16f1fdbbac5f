/** What a chill teaches of its place: once it got to its limit, or when it ended or was changed before. */
import type { HousePrior, Lesson } from '../../shared/contract/prior.ts';
import { lessonOf } from '../forecast/house-prior.ts';
import { lessonsFor, type Setup } from '../forecast/learned-ways.ts';
import { type Chill, regimeSinceMs } from './chill.ts';
import { confirmedAtMs } from './crossing.ts';

/** The last of a stretch that ended before its limit may be the going itself: the hand, the lid, the pouring. */
const goingMs = 2 * 60_000;

/** What the prior says of such a chill, and the id of the event that told it; null where it says nothing. */
export function pinnedPrior(
  prior: HousePrior | null | undefined,
  setup: Omit<Setup, 'place'> & { place: string | null },
): { id: string; lessons: Lesson[] } | null {
  const { place } = setup;
  const newest = prior?.lessons.at(-1);
  if (place === null || newest === undefined) return null;
  const lessons = lessonsFor(prior ?? null, { ...setup, place });
  return lessons.length === 0 ? null : { id: priorEventId(newest.id), lessons };
}

/** The id of the event that told the prior which ends with this lesson: the lesson's is watch + ordinal. */
export function priorEventId(lessonId: string): string {
  const [watch, ordinal] = lessonId.split('/');
  return `${watch}/prior-learned/${ordinal}`;
}

/** The lesson of a chill that got to its limit and was not asked before; null where there is none. */
export function crossedLesson(chill: Chill): Lesson | null {
  const crossedMs = confirmedAtMs(chill.typed);
  return crossedMs === null || crossedMs < regimeSinceMs(chill) ? null : lessonAt(chill, crossedMs);
}

/** The lesson of a stretch that ends at `atMs` short of its limit; null where it is too short or was asked before. */
export function cutLesson(chill: Chill, atMs: number): Lesson | null {
  const crossedMs = confirmedAtMs(chill.typed);
  if (crossedMs !== null) return crossedLesson(chill);
  const { latest } = chill;
  if (latest === null) return null;
  return lessonAt(chill, null, Math.min(latest.atMs, atMs) - goingMs);
}

function lessonAt(chill: Chill, crossedMs: number | null, endMs?: number): Lesson | null {
  const regime = chill.taken.length;
  if (chill.stands === null || chill.stands === undefined || (chill.taught ?? -1) >= regime) return null;
  chill.taught = regime;
  const { id, told, trace, window } = chill;
  return lessonOf(
    `${id}/${regime + 1}`,
    { place: chill.stands, kind: told.place, material: told.material, volumeL: told.volumeL },
    {
      regime: {
        trace,
        sinceMs: regimeSinceMs(chill),
        toMs: crossedMs ?? endMs ?? 0,
        aroundC: told.aroundC,
        limitC: window.limitC,
        deadlineMs: window.deadlineMs,
        crossedMs,
      },
      before: chill.prior?.lessons ?? [],
    },
  );
}
