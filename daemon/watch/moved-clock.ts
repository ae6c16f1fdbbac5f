/** What a turn of the clock does to an instant that is remembered. */

/** Instants from `fromMs` on become later by `deltaMs`; those before are of a clock that was known, and stay. */
export type Move = { deltaMs: number; fromMs: number };

/** Returns where an instant lies after the turn; null stays null. */
export function movedMs<T extends number | null>(atMs: T, { deltaMs, fromMs }: Move): T {
  return (atMs === null || atMs < fromMs ? atMs : atMs + deltaMs) as T;
}
