/** How often somebody may try a password or a code: by the person who is tried, and by the address that tries. */

/** Wrong tries of one person that cost nothing; each further one locks the person's sign-in, longer each time. */
export const freeTriesMax = 5;

/** The first lock, and the longest: it doubles with each wrong try. People who are signed in notice nothing. */
const firstLockMs = 30_000;
const lockMsMax = 900_000;

/** Tries that one address has at once, and how soon it gets one more. */
const addressTriesMax = 10;
const addressTryMs = 6_000;

/** Addresses and names that are remembered; the oldest is forgotten, and then counts as one that never tried. */
export const rememberedMax = 2_048;

type Tried = { wrong: number; freeAtMs: number };
type Bucket = { left: number; atMs: number };

export type Tries = {
  /**
   * Takes one try of an address at a name; returns how long to wait, in ms, where it may not be made; 0 where
   * it may. It counts as wrong until it is said to be right, so that many at once gain nothing. Without a
   * name only the address counts.
   */
  take(address: string, name: string | null): number;
  /** Says that it was right. */
  right(name: string): void;
};

/** Opens the counts; `steadyMs` is a clock that nobody can set. They begin anew with the daemon. */
export function openTries(steadyMs: () => number): Tries {
  const names = new Map<string, Tried>();
  const addresses = new Map<string, Bucket>();
  return {
    take: (address, name) => {
      const nowMs = steadyMs();
      const lockedMs = (names.get(name ?? '')?.freeAtMs ?? 0) - nowMs;
      if (lockedMs > 0) return lockedMs;
      const bucket = addresses.get(address) ?? { left: addressTriesMax, atMs: nowMs };
      const left = Math.min(addressTriesMax, bucket.left + (nowMs - bucket.atMs) / addressTryMs);
      if (left < 1) return Math.ceil((1 - left) * addressTryMs);
      remember(addresses, address, { left: left - 1, atMs: nowMs });
      if (name === null) return 0;
      const wrong = (names.get(name)?.wrong ?? 0) + 1;
      remember(names, name, { wrong, freeAtMs: nowMs + lockMsAfter(wrong) });
      return 0;
    },
    right: (name) => {
      names.delete(name);
    },
  };
}

function lockMsAfter(wrong: number): number {
  const over = wrong - freeTriesMax;
  return over < 0 ? 0 : Math.min(lockMsMax, firstLockMs * 2 ** Math.min(over, 10));
}

function remember<T>(map: Map<string, T>, key: string, value: T): void {
  map.delete(key);
  map.set(key, value);
  const [oldest] = map.keys();
  if (map.size > rememberedMax && oldest !== undefined) map.delete(oldest);
}
