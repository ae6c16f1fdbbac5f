/** What the daemon makes of the system's clock: whether it stepped, whether it is known. Pure. */

/**
 * UTC = steady + `offsetMs`; `known` where the system says that its clock is synchronised. `systemOffsetMs` is what the
 * system's own clock showed against the steady one: another, where it showed a time before the last that was seen.
 */
export type ClockState = { offsetMs: number; systemOffsetMs: number; known: boolean };

/** One look at the system: its clock and a steady one at the same moment, and what it says of itself. */
export type ClockLook = { systemMs: number; steadyMs: number; synchronised: boolean };

/**
 * `none`: as before. `learned`: the time became known (and may have stepped by `deltaMs` in that): the
 * era's offset was wrong and is now right. `stepped`: somebody set the clock; a new era begins.
 */
export type ClockTurn =
  | { is: 'none' }
  | { is: 'learned'; state: ClockState; deltaMs: number }
  | { is: 'stepped'; state: ClockState; deltaMs: number };

/** Differences up to this are the noise of looking, not a step. */
export const stepLeastMs = 500;

/**
 * The state at a start. A time that is not known and lies before `notBeforeMs`, up to which there are readings, was
 * restored from a file: time goes on from there.
 */
export function beginClock(look: ClockLook, notBeforeMs: number | null): ClockState {
  const systemOffsetMs = Math.round(look.systemMs - look.steadyMs);
  const leastMs = look.synchronised || notBeforeMs === null ? -Infinity : notBeforeMs;
  const offsetMs = Math.max(systemOffsetMs, Math.ceil(leastMs - look.steadyMs));
  return { offsetMs, systemOffsetMs, known: look.synchronised };
}

/** Compares a look with what was believed. A known clock that falls out of synchronisation stays known. */
export function decideClock(state: ClockState, look: ClockLook): ClockTurn {
  const systemOffsetMs = Math.round(look.systemMs - look.steadyMs);
  const isKnown = look.synchronised || state.known;
  // A known time is what the system shows; one that is not follows its steps from wherever it stands.
  const deltaMs = systemOffsetMs - (isKnown ? state.offsetMs : state.systemOffsetMs);
  const steps = Math.abs(deltaMs) >= stepLeastMs;
  const offsetMs = steps ? state.offsetMs + deltaMs : state.offsetMs;
  if (look.synchronised && !state.known) {
    const learned = { offsetMs, systemOffsetMs: offsetMs, known: true };
    return { is: 'learned', state: learned, deltaMs: steps ? deltaMs : 0 };
  }
  if (!steps) return { is: 'none' };
  return { is: 'stepped', state: { offsetMs, systemOffsetMs, known: state.known }, deltaMs };
}
