/** What is kept of people and probes' keys, and every change to it, as plain data that crosses threads. */
import type { DoorSettings } from '../../shared/contract/door.ts';

/** A person who was paired; `password` is a scrypt line (`hashPassword`). */
export type KeptPerson = { id: string; name: string; password: string; pairedAtMs: number };

/**
 * A session. Tokens are kept as SHA-256 only. `before` is the token that the present one replaced; it goes
 * on until the present one was used, and a little longer for requests that were under way.
 */
export type KeptSession = {
  id: string;
  person: string;
  token: string;
  before: string | null;
  /** When the present token was first used; null while it was not. */
  turnedAtMs: number | null;
  madeAtMs: number;
  rotatedAtMs: number;
  usedAtMs: number;
  where: string;
};

/** What a probe proves itself to the broker by: salt and SHA-256 of a password of 120 random bits. */
export type KeptKey = { probe: string; hash: string; madeAtMs: number };

export type PeopleKept = {
  people: KeptPerson[];
  sessions: KeptSession[];
  keys: KeptKey[];
  /** Null where the house was never opened. */
  door: DoorSettings | null;
};

export type PeopleChange =
  | { put: 'person'; row: KeptPerson }
  | { put: 'session'; row: KeptSession }
  | { put: 'key'; row: KeptKey }
  | { put: 'door'; row: DoorSettings }
  | { drop: 'person' | 'session' | 'key'; id: string };

/** Keeps changes in one transaction, in order; rejects with the disk's fault where nothing was kept. */
export type KeepPeople = (changes: PeopleChange[]) => Promise<void>;
