/** The first moments of a resumed session, in which a message may be one that the broker had kept. */

/** How long these moments last at least. */
export const resumingLeastMs = 2000;

/** A pause this long, while the source was ready for more, shows that what the broker had kept is through. */
export const resumingPauseMs = 500;

/** How long they last at most: a house that is never quiet for a pause is live by then. */
export const resumingMostMs = 60_000;

/** Follows one connection; instants are of a steady clock, in ms. */
export type Resumption = {
  /** Returns true where a message that comes now may have waited at the broker. */
  isResuming(nowMs: number): boolean;
  /** Says that the source asks for the next message from now on. */
  ready(nowMs: number): void;
};

/**
 * Returns the resumption of a connection that was accepted at `startMs`. A fresh session has none. A
 * resumed one lasts `resumingLeastMs` and on until the first pause between messages, since a broker sends
 * what it kept without one, however long it takes; a pause of the source's own making does not count.
 */
export function createResumption(sessionPresent: boolean, startMs: number): Resumption {
  let isOver = !sessionPresent;
  let hasPaused = false;
  let readyMs = startMs;
  return {
    isResuming(nowMs) {
      if (isOver) return false;
      hasPaused ||= nowMs - readyMs >= resumingPauseMs;
      const elapsedMs = nowMs - startMs;
      isOver = (hasPaused && elapsedMs >= resumingLeastMs) || elapsedMs >= resumingMostMs;
      return !isOver;
    },
    ready(nowMs) {
      readyMs = nowMs;
    },
  };
}
