/** How far a mirror has come, as a text that outlives the daemon. */
import { z } from 'zod';

/**
 * `inputSeq`: every reading up to it is at the server or set aside. `held`: receipt-stamped readings after
 * `fromSeq` up to `toSeq` that wait for the clock to be known; null where none do. `trail`: earlier places
 * of the cursor with the time when it was there, oldest first, for sending again what a server may have lost.
 */
const mirrorCursor = z.object({
  v: z.literal(1),
  inputSeq: z.int().min(0),
  held: z.object({ fromSeq: z.int().min(0), toSeq: z.int().min(0) }).nullable(),
  trail: z.array(z.object({ inputSeq: z.int().min(0), atMs: z.number() })),
  /** Readings that the server would not take, set aside one by one. */
  setAside: z.int().min(0),
  /** Stretches still to be sent by their instants, since their readings have no number any more. */
  past: z.array(z.object({ probe: z.string(), fromMs: z.number(), toMs: z.number() })).default([]),
  /** Readings of a probe numbered up to this were sent with such stretches. */
  sealedSeqs: z.record(z.string(), z.number()).default({}),
});
export type MirrorCursor = z.infer<typeof mirrorCursor>;

/** Before the first reading. */
export const firstCursor: MirrorCursor = {
  v: 1,
  inputSeq: 0,
  held: null,
  trail: [],
  setAside: 0,
  past: [],
  sealedSeqs: {},
};

/** The most places of a trail; beyond it every other one is forgotten. */
const trailMax = 64;

/** Reads a kept cursor; one that cannot be read begins anew, which sends again and loses nothing. */
export function parseCursor(text: string | null): MirrorCursor {
  if (text === null) return firstCursor;
  try {
    const parsed = mirrorCursor.safeParse(JSON.parse(text));
    return parsed.success ? parsed.data : firstCursor;
  } catch {
    return firstCursor;
  }
}

/** The cursor moved on to `inputSeq` at a time; places older than `keepMs` but one leave the trail. */
export function advance(
  cursor: MirrorCursor,
  to: { inputSeq: number; atMs: number; keepMs: number },
): MirrorCursor {
  const { inputSeq, atMs, keepMs } = to;
  if (keepMs === 0) return { ...cursor, inputSeq, trail: [] };
  const trail = [...cursor.trail, { inputSeq: cursor.inputSeq, atMs }];
  const firstYoung = trail.findIndex((place) => place.atMs >= atMs - keepMs);
  const kept = trail.slice(Math.max(0, firstYoung - 1));
  return {
    ...cursor,
    inputSeq,
    trail: kept.length > trailMax ? kept.filter((_, index) => index % 2 === 0) : kept,
  };
}

/**
 * The cursor before everything that was sent within `backMs` of the last batch, or where its trail begins.
 * The trail is then forgotten, so that an outage that goes on rewinds once.
 */
export function rewind(cursor: MirrorCursor, backMs: number): MirrorCursor {
  const { trail } = cursor;
  const fromMs = (trail.at(-1)?.atMs ?? 0) - backMs;
  const place = trail.findLast(({ atMs }) => atMs <= fromMs) ?? trail[0];
  return place === undefined ? cursor : { ...cursor, inputSeq: place.inputSeq, trail: [] };
}
