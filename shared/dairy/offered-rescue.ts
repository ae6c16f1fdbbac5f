import type { Rescue } from '../contract/forecast.ts';

/** From this chance on a rescue "would make it"; under it, it "would be quickest". */
export const rescueSureFrom = 0.8;
/** A rescue that wants less attention is preferred if there is this much time for it. */
const easeMs = 3 * 60_000;

/**
 * The rescue that is offered: of those sure enough the one that wants the least of a person (they come
 * quickest first, so the last), else the quickest. Null where there is none.
 */
export function offeredRescue(rescues: readonly Rescue[], nowMs: number): Rescue | null {
  const sure = rescues.filter(({ chance }) => chance >= rescueSureFrom);
  const easy = sure.filter(({ lastUsefulAtMs }) => (lastUsefulAtMs ?? 0) - nowMs >= easeMs);
  return easy.at(-1) ?? sure[0] ?? rescues[0] ?? null;
}
