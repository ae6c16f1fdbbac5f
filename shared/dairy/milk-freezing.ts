/** Where milk begins to freeze. */

/**
 * The freezing point taken for milk of any animal, °C: cow's is about -0.52, goat's -0.54 to -0.55, sheep's
 * -0.55 (Rosenman & Garry; Henningson 1963, J. AOAC 46:1036), so -0.53 stands between them.
 */
export const milkFreezesC = -0.53;
