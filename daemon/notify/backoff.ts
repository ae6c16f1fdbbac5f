/** How long a way that failed is left alone before it is tried again. */

const firstMs = 1_000;

/** The longest wait between two tries of a way. */
export const backoffMsMax = 300_000;

/** Doubles from a second to five minutes; `chance` (0 to 1) spreads tries of many houses by a fifth. */
export function backoffMs(tries: number, chance: number): number {
  const fullMs = Math.min(backoffMsMax, firstMs * 2 ** Math.min(20, Math.max(0, tries)));
  return Math.round(fullMs * (0.8 + 0.2 * chance));
}
