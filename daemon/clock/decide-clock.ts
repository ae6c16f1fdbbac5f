/** What the daemon makes of the system's clock: whether it stepped, whether it is known. Pure. */

/** UTC = steady + `offsetMs`; `known` where the system says that its clock is synchronised. */
export type ClockState = { offsetMs: number; known: boolean };

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

/** Compares a look with what was believed. A known clock that falls out of synchronisation stays known. */
export function decideClock(state: ClockState, look: ClockLook): ClockTurn {
  const offsetMs = Math.round(look.systemMs - look.steadyMs);
  const deltaMs = offsetMs - state.offsetMs;
  const steps = Math.abs(deltaMs) >= stepLeastMs;
  if (look.synchronised && !state.known) {
    const learned = { offsetMs: steps ? offsetMs : state.offsetMs, known: true };
    return { is: 'learned', state: learned, deltaMs: steps ? deltaMs : 0 };
  }
  if (!steps) return { is: 'none' };
  return { is: 'stepped', state: { offsetMs, known: state.known }, deltaMs };
}
