import type { Notice, ProbeView, WatchView } from '../../../shared/contract/api.ts';

const dawnMs = Date.UTC(2026, 4, 4, 6, 0, 0);

export const jar: ProbeView = {
  v: 1,
  id: 'jar',
  name: 'Jar of Plum',
  place: null,
  vessel: null,
  source: 'broker',
  state: 'heard',
  latest: { atMs: dawnMs, tempC: 31.25, flags: 0 },
  intervalMs: 10_000,
  counts: { taken: 3, repeats: 0, conflicts: 0, late: 0, undated: 0, refused: 0 },
};

export const chill: WatchView = {
  v: 1,
  id: 'chill-jar-17',
  kind: 'chill',
  probe: 'jar',
  state: 'on-course',
  sinceMs: dawnMs,
  window: {
    limitC: 4.444,
    spanMs: 3_600_000,
    originMs: dawnMs,
    origin: 'insertion',
    deadlineMs: dawnMs + 3_600_000,
  },
  latest: { atMs: dawnMs, tempC: 31.25 },
  rateCPerMin: null,
  silentSinceMs: null,
  crossedAtMs: null,
  atDeadlineC: null,
  marginC: 0.5,
  forecast: null,
};

/** Returns a notice of this recordSeq. */
export function noticeOf(recordSeq: number): Notice {
  return {
    v: 1,
    id: `chill-jar-17-${recordSeq}`,
    recordSeq,
    atMs: dawnMs,
    weight: 'warn',
    code: 'chill-will-miss',
    watch: chill.id,
    probe: 'jar',
    text: 'Under 40 °F near 8:32, 50 minutes late.',
  };
}
