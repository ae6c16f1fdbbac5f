/**
 * Patterns of excursion beyond a limit, as loggers of cold stores have them: one reading (instant), readings
 * without a break (continuous: one good reading begins it again) and readings in all (cumulative: good ones
 * take nothing away). The limit itself counts as beyond (WHO PQS E006/TR07: inclusive).
 */

/** What is counted: `spanMs` of being beyond raises it; 0 is one reading. */
export type ExcursionPattern = { side: 'warm' | 'cold'; limitC: number; spanMs: number };

/** Plain JSON; what is kept of the readings so far. */
export type Excursion = {
  /** The last reading, and whether it was beyond. */
  lastMs: number | null;
  lastBeyond: boolean;
  /** Since when it is beyond without a break; null while it is not. */
  sinceMs: number | null;
  /** Time between neighbouring readings that were both beyond. */
  totalMs: number;
};

/** Returns an excursion before the first reading. */
export function openExcursion(): Excursion {
  return { lastMs: null, lastBeyond: false, sinceMs: null, totalMs: 0 };
}

/**
 * Takes over `state` with one reading more; readings must come in order, an older one is passed over. Spans
 * count between readings: 61 readings at 10 minutes are 600 minutes, 60 are 590 (WHO/PQS/E006, 10-minute loggers).
 */
export function feedExcursion(
  state: Excursion,
  { side, limitC }: Pick<ExcursionPattern, 'side' | 'limitC'>,
  reading: { atMs: number; tempC: number },
): Excursion {
  const { atMs, tempC } = reading;
  if (state.lastMs !== null && atMs < state.lastMs) return state;
  const beyond = side === 'warm' ? tempC >= limitC : tempC <= limitC;
  if (beyond && state.lastBeyond && state.lastMs !== null) state.totalMs += atMs - state.lastMs;
  state.sinceMs = beyond ? (state.sinceMs ?? atMs) : null;
  state.lastBeyond = beyond;
  state.lastMs = atMs;
  return state;
}

/** Returns how long it has been beyond without a break, ms; null while it is not beyond. */
export function continuousMs({ sinceMs, lastMs }: Excursion): number | null {
  return sinceMs === null || lastMs === null ? null : lastMs - sinceMs;
}

/** Returns whether the continuous pattern is raised: beyond for `spanMs` without a break. */
export function isContinuous(state: Excursion, spanMs: number): boolean {
  const beyondMs = continuousMs(state);
  return beyondMs !== null && beyondMs >= spanMs;
}

/** Returns whether the cumulative pattern is raised: beyond for `spanMs` in all. */
export function isCumulative(state: Excursion, spanMs: number): boolean {
  return state.totalMs >= spanMs;
}

/** Takes over `state` with every instant later by `deltaMs`. */
export function shiftExcursion(state: Excursion, deltaMs: number): Excursion {
  const later = (atMs: number | null) => (atMs === null ? null : atMs + deltaMs);
  return { ...state, lastMs: later(state.lastMs), sinceMs: later(state.sinceMs) };
}
