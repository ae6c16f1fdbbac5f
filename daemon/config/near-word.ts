/** The longest word that is compared; a longer one is near to nothing. */
const nearWordMax = 64;

/**
 * The known word that a mistyped one most likely means: at most one edit (insert, drop, change or swap of
 * neighbours) for each three letters, and at most three; null where none is so near. Case does not count.
 */
export function nearWord(typed: string, known: readonly string[]): string | null {
  if (typed.length > nearWordMax) return null;
  let best: string | null = null;
  let bestEdits = Math.min(3, Math.floor(typed.length / 3)) + 1;
  for (const word of known) {
    const edits = editsBetween(typed.toLowerCase(), word.toLowerCase());
    if (edits < bestEdits) {
      best = word;
      bestEdits = edits;
    }
  }
  return best;
}

/** Optimal string alignment distance (Damerau 1964, Levenshtein 1966). */
function editsBetween(a: string, b: string): number {
  let before: number[] = [];
  let above = Array.from({ length: b.length + 1 }, (_, index) => index);
  for (let i = 1; i <= a.length; i += 1) {
    const row = [i];
    for (let j = 1; j <= b.length; j += 1) {
      const change = (above[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1);
      const swapped = i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1];
      const swap = swapped ? (before[j - 2] ?? 0) + 1 : change;
      row.push(Math.min((above[j] ?? 0) + 1, (row[j - 1] ?? 0) + 1, change, swap));
    }
    before = above;
    above = row;
  }
  return above[b.length] ?? 0;
}
