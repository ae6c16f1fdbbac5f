/** How long what waits may wait for others before it is committed: a commit is a sync, and disks of small boards wear. */

/**
 * How the watching stands: `turn` where a watch is about to say something, `open` where a chill, heat or hold
 * is open, else `calm`.
 */
export type Standing = 'turn' | 'open' | 'calm';

/**
 * How long the first reading of a group waits for others. `soon` makes one commit of what comes together;
 * `acknowledged` leaves the answer to a probe within a second; `kept` is for wires that wait for no answer,
 * whose readings of this span a power cut may take.
 */
export const gatherMs = { soon: 1, acknowledged: 800, kept: 6_000 } as const;

/** A probe that was not heard for so long is shown at once. */
export const newsAfterMs = 600_000;
/** A reading that is older than this when it comes is one of many that were held back, and has waited enough. */
const heldBackMs = { awaited: 5_000, kept: 60_000 } as const;
/** What comes so soon after an answer was waiting for it: its sender sends one at a time. */
const waitedForMs = 50;
/** Readings of one probe that wait for no answer, and readings in all, that are committed without waiting longer. */
const lineMax = 60;
const waitingMax = 500;

/** What is known of an offer as it comes, and of what waits already. */
export type Arrival = {
  /** True where its source waits for the answer. */
  isAwaited: boolean;
  /** How much older than now its oldest stamped reading is, ms; 0 where none is stamped. */
  ageMs: number;
  /** The most readings of one of its probes that waited before it, and all that waited. */
  lineLength: number;
  waiting: number;
  /** How long ago a source that waited was answered, and since when the probe was not heard, ms. */
  answeredAgoMs: number;
  unheardMs: number;
};

/** Returns how long an arrival may wait; `standing` is asked only where it matters. */
export function gatherSpanMs(arrival: Arrival, standing: () => Standing): number {
  const { isAwaited, lineLength, waiting } = arrival;
  if (waiting >= waitingMax || lineLength >= lineMax || arrival.unheardMs >= newsAfterMs)
    return gatherMs.soon;
  if (arrival.ageMs >= (isAwaited ? heldBackMs.awaited : heldBackMs.kept)) return gatherMs.soon;
  // A sender that lets few stand unanswered must not be slowed to those few a gathering.
  if (isAwaited && (lineLength > 0 || arrival.answeredAgoMs <= waitedForMs)) return gatherMs.soon;
  switch (standing()) {
    case 'turn':
      return gatherMs.soon;
    case 'open':
      return isAwaited ? gatherMs.soon : gatherMs.kept;
    default:
      return isAwaited ? gatherMs.acknowledged : gatherMs.kept;
  }
}
