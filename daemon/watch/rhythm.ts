/** How often a probe speaks, told from the probe alone, and when its silence is worth a word. */

/** What is remembered of a probe's rhythm. JSON-safe, under 400 bytes. */
export type Rhythm = {
  /** When the newest hearing began; null before the first. A hearing is one reading or a burst of them. */
  hearingMs: number | null;
  /** The newest reading's instant. */
  newestMs: number | null;
  /** The last intervals between hearings, oldest first, at most `intervalsMax`. */
  intervalsMs: number[];
  /** The longest gap the probe came back from lately; fades by 0.5 % with each hearing that follows. */
  longGapMs: number;
};

/** Intervals kept; the oldest is forgotten when one more comes. */
const intervalsMax = 15;
/** Intervals needed before a rhythm is spoken of. */
const intervalsMin = 3;
/** Readings closer together than this are one hearing: no probe measures so fast, a flushed buffer does. */
const burstMs = 250;
/** A hearing also takes in what follows within this share of the usual interval. */
const burstShare = 0.1;
/**
 * Silence of a fast probe is notable after this: long enough for a radio in a metal box to find its way out
 * again (common practice, no source), short enough to save a jar within its hour.
 */
const silenceLeastMs = 5 * 60_000;
/** Silence of a fast probe is notable at the latest after this, however often it has faded before. */
const silenceMostMs = 10 * 60_000;
/** A slow probe must have missed this many of its own intervals. */
const missedMin = 3;
/** A gap this much longer than any lately is notable. */
const gapMargin = 1.5;
const gapFade = 0.995;

/** Returns the rhythm of a probe not heard yet. */
export function openRhythm(): Rhythm {
  return { hearingMs: null, newestMs: null, intervalsMs: [], longGapMs: 0 };
}

/** Takes over `state` and counts one reading at `atMs`; late readings (not newer than the newest) change nothing. */
export function feelRhythm(state: Rhythm, atMs: number): Rhythm {
  if (state.newestMs !== null && atMs <= state.newestMs) return state;
  const sinceNewestMs = state.newestMs === null ? 0 : atMs - state.newestMs;
  state.newestMs = atMs;
  if (state.hearingMs === null) {
    state.hearingMs = atMs;
    return state;
  }
  const usual = usualMs(state) ?? 0;
  const intervalMs = atMs - state.hearingMs;
  if (sinceNewestMs < burstMs || intervalMs < usual * burstShare) return state;
  state.hearingMs = atMs;
  state.intervalsMs.push(intervalMs);
  if (state.intervalsMs.length > intervalsMax) state.intervalsMs.shift();
  state.longGapMs = Math.round(Math.max(intervalMs, state.longGapMs * gapFade));
  return state;
}

/** Returns the median interval between hearings in ms, or null before three are known. */
export function usualMs(state: Rhythm): number | null {
  const sorted = [...state.intervalsMs].sort((a, b) => a - b);
  if (sorted.length < intervalsMin) return null;
  return sorted[Math.floor(sorted.length / 2)] ?? null;
}

/**
 * Returns the span in ms after the newest reading from which silence is notable: 5 min, more where the probe
 * has lately come back from longer gaps, 10 min at the latest; a probe slower than that is given three of
 * its own intervals.
 */
export function silentAfterMs(state: Rhythm): number {
  const usual = usualMs(state);
  if (usual === null) return silenceMostMs;
  const byGapsMs = Math.min(Math.max(silenceLeastMs, gapMargin * state.longGapMs), silenceMostMs);
  return Math.round(Math.max(byGapsMs, missedMin * usual));
}
