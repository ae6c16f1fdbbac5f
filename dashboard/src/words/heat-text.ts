/** What people say of a pot, "190 F, then 10 min" or "boil, then 1 min", to the word that begins it. Pure. */

import type { Word } from '../../../shared/contract/word.ts';
import { holdLeastMs } from '../../../shared/dairy/legal-holds.ts';
import { parseSpan, parseTemp } from '../../../shared/units/parse.ts';

/** What can be asked where nobody has asked yet, as it would be typed. */
export const usualHeats: Readonly<Record<'F' | 'C', readonly string[]>> = {
  F: ['86 F', '145 F, then 30 min', '180 F', '190 F, then 10 min', 'boil, then 1 min'],
  C: ['30 C', '63 C, then 30 min', '82 C', '90 C, then 10 min', 'boil, then 1 min'],
};

/**
 * Reads what was typed; null where it is no heat. Without a unit the house's own is taken. A hold shorter than a
 * minute is none.
 */
export function heatWord(text: string, { probe, units }: { probe: string; units: 'F' | 'C' }): Word | null {
  const [target = '', after, ...more] = text.split(/\s*,?\s*\bthen\b\s*/i);
  if (more.length > 0) return null;
  const toBoil = /^(the )?boil$/i.test(target.trim());
  const limitC = toBoil ? null : parseTemp(/[fc]$/i.test(target.trim()) ? target : `${target} ${units}`);
  if (!toBoil && (limitC === null || limitC > 110 || limitC < -5)) return null;
  const begin = {
    kind: 'heat-begin' as const,
    probe,
    ...(limitC === null ? { toBoil: true } : { limitC }),
  };
  if (after === undefined) return begin;
  const holdMs = parseSpan(after);
  return holdMs === null || holdMs < holdLeastMs ? null : { ...begin, holdAfter: { holdMs } };
}

/** The asked heats that are offered: the last ones first, then the usual ones; at most `count`. */
export function offeredHeats(last: readonly string[], units: 'F' | 'C', count = 6): string[] {
  return [...new Set([...last, ...usualHeats[units]])].slice(0, count);
}
