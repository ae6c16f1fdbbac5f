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
 * What a rescue wants of a person, in order: setting it down once, two steps, a step that may crack warm glass,
 * pouring and washing up, standing by and stirring.
 */
function effortOf({ cautions, kind }: Rescue): number {
  switch (kind) {
    case 'fan':
      return 1;
    case 'cold-water':
      return 2;
    case 'ice-bath':
      return cautions.includes('warm-glass-cracks') ? 4 : 2;
    case 'cold-water-then-ice':
      return 3;
    case 'split':
      return 5;
    case 'ice-bath-stirred':
    case 'stir':
      return 6;
    default:
      return kind satisfies never;
  }
}
