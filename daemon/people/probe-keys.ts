/** The keys by which probes prove themselves to the broker from outside of this machine. */
import { randomBytes } from 'node:crypto';
import type { KeepPeople, KeptKey } from './kept.ts';
import { hashOf, isSame, newProbePassword } from './secret-text.ts';

/** What the broker asks. */
export type ProbeKeys = {
  /** Returns whether this is the password of this probe's key; no key, no entry. */
  fits(probe: string, password: string): boolean;
  /** Makes a key in place of the one there is, and returns its password, which is kept nowhere. */
  make(probe: string): Promise<string>;
  /** Takes a key away; false where there is none. */
  revoke(probe: string): Promise<boolean>;
  /** Probes that have a key. */
  list(): { probe: string; madeAtMs: number }[];
  /** Hears of each probe whose key changed or went. */
  onChanged(listener: (probe: string) => void): void;
};

/**
 * Opens the keys that were kept. Passwords have 120 random bits, so a salted SHA-256 is as strong as a slow
 * hash would be, and two hundred probes that come back after a power cut do not keep a small board busy.
 */
export function openProbeKeys(o: {
  kept: readonly KeptKey[];
  keep: KeepPeople;
  nowMs: () => number;
}): ProbeKeys {
  const keys = new Map(o.kept.map((key) => [key.probe, key]));
  const listeners: ((probe: string) => void)[] = [];
  const tell = (probe: string) => {
    for (const listener of listeners) listener(probe);
  };
  return {
    fits: (probe, password) => {
      const [salt = '', hash = ''] = (keys.get(probe)?.hash ?? '').split('$');
      return isSame(hash, hashOf(`${salt}$${password}`)) && hash !== '';
    },
    make: async (probe) => {
      const password = newProbePassword();
      const salt = randomBytes(12).toString('base64url');
      const row = { probe, hash: `${salt}$${hashOf(`${salt}$${password}`)}`, madeAtMs: o.nowMs() };
      await o.keep([{ put: 'key', row }]);
      keys.set(probe, row);
      tell(probe);
      return password;
    },
    revoke: async (probe) => {
      if (!keys.delete(probe)) return false;
      tell(probe);
      await o.keep([{ drop: 'key', id: probe }]);
      return true;
    },
    list: () => [...keys.values()].map(({ probe, madeAtMs }) => ({ probe, madeAtMs })),
    onChanged: (listener) => {
      listeners.push(listener);
    },
  };
}
