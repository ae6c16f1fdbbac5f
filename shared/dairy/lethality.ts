/** How much a heating is worth against one at a fixed temperature. Advice only: it passes no legal hold. */

/** What a heating is reckoned against: minutes at `refC`, ten times faster each `zC`. */
export type LethalityScale = { refC: number; zC: number };

/** Against the EU batch temperature with the slope between its two pairs: 9 / log10(120) (Codex CXC 57-2004). */
export const batchScale: LethalityScale = { refC: 63, zC: 4.33 };

/** Pasteurization units of beer: Del Vecchio et al. 1951, in the form with z = 7 °C. */
export const beerScale: LethalityScale = { refC: 60, zC: 7 };

/** How many times faster than at the scale's own temperature: Bigelow's L = 10^((T - Tref) / z). */
export function lethalRate(tempC: number, { refC, zC }: LethalityScale): number {
  return 10 ** ((tempC - refC) / zC);
}

/**
 * What a straight stretch from one temperature to another is worth, in the unit of `span`: the exact integral,
 * which the trapezoid rule overstates.
 */
export function lethalityOf(fromC: number, toC: number, span: number, scale: LethalityScale): number {
  const from = lethalRate(fromC, scale);
  if (Math.abs(toC - fromC) < 1e-6) return from * span;
  return (span * scale.zC * (lethalRate(toC, scale) - from)) / (Math.LN10 * (toC - fromC));
}
