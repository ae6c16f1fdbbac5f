import type { Rescue } from '../contract/forecast.ts';

/** From this chance on a rescue "would make it"; under it, it "would be quickest". */
export const rescueSureFrom = 0.8;
/** A rescue that wants less attention is preferred if there is this much time for it. */
const easeMs = 3 * 60_000;

/**
 * The rescue that is offered: of those sure enough the one that wants the least of a person, else the quickest
 * (they come quickest first). Null where there is none.
 */
export function offeredRescue(rescues: readonly Rescue[], nowMs: number): Rescue | null {
  const sure = rescues.filter(({ chance }) => chance >= rescueSureFrom);
  const easy = sure.filter(({ lastUsefulAtMs }) => (lastUsefulAtMs ?? 0) - nowMs >= easeMs);
  const [least] = easy.toSorted((a, b) => effortOf(a) - effortOf(b));
  return least ?? sure[0] ?? rescues[0] ?? null;
}

/**
 * What a rescue wants of a person, in order: setting it down once, pouring and washing up, standing by and stirring;
 * within each, what may crack warm glass comes last.
 */
function effortOf({ cautions, kind }: Rescue): number {
  const mayCrack = cautions.includes('warm-glass-cracks') ? 0.5 : 0;
  switch (kind) {
    case 'fan':
      return 1;
    case 'cold-water':
      return 2;
    case 'ice-bath':
      return 2 + mayCrack;
    case 'split':
      return 3;
    case 'stir':
    case 'cold-water-then-ice':
    case 'ice-bath-stirred':
      return 4 + mayCrack;
    default:
      return kind satisfies never;
  }
}
