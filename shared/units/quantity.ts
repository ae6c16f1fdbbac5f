/** Quantities as people type them: a number, then a unit. */

/** A number and the unit that was written after it, not yet looked up. */
type Typed = { value: number; unit: string };

/** Minus as typed: the hyphen of keyboards or the minus sign of typesetting. */
const typedPattern = /^([-\u2212+]?)(\d+(?:\.\d+)?|\.\d+)[ \u00a0\u202f]*(\D*)$/;

/** The longest quantity that is read; a longer text is none. It bounds the work of a hostile text. */
export const quantityTextMax = 64;

/** Splits `'40 °F'` into its number and unit; null where the text is anything else. */
export function parseTyped(text: string): Typed | null {
  if (text.length > quantityTextMax) return null;
  const match = typedPattern.exec(text.trim());
  if (match === null) return null;
  const [, sign, digits, unit] = match;
  const size = Number(digits);
  const value = sign === '-' || sign === '\u2212' ? -size : size;
  return { value: value === 0 ? 0 : value, unit: (unit ?? '').trim() };
}

/**
 * The factor of a unit, from a table whose keys are lower case; null where the unit is not in it. Units
 * are read without regard to case: no two units of one table differ by case alone.
 */
export function factorOf(unit: string, factors: Readonly<Record<string, number>>): number | null {
  const key = unit.toLowerCase();
  return Object.hasOwn(factors, key) ? (factors[key] ?? null) : null;
}
