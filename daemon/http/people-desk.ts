import type {
  DoorSettings,
  OpenedView,
  PairingView,
  PersonView,
  PostedPair,
  PostedSignIn,
} from '../../shared/contract/door.ts';
import type { HttpFault } from './problems.ts';

/** A refusal, and how long to wait before the next try where that is what to do. */
export type PeopleFault = HttpFault & { waitMs?: number };

/** From where somebody asks: the address, which is counted, and what the browser calls itself. */
export type From = { address: string; where: string };

/** Somebody who just came in; the token goes into a cookie and nowhere else. */
export type CameIn = { person: { id: string; name: string }; session: string; token: string };

/**
 * The port through which HTTP knows people; the wiring supplies it. A promise rejects where what it changes
 * cannot be kept; then an ended session has ended all the same, until the next start.
 */
export type PeopleDesk = {
  /** True while the house listens to its network: then everybody signs in. */
  isOpen(): boolean;
  /** Who a token is, and the token in its place where it was renewed; null where it is nobody's. */
  admit(token: string): Promise<{ session: string; person: string; renewed: string | null } | null>;
  nameOf(person: string): string | null;
  pair(asked: Omit<PostedPair, 'v'>, from: From): Promise<CameIn | PeopleFault>;
  signIn(asked: Omit<PostedSignIn, 'v'>, from: From): Promise<CameIn | PeopleFault>;
  changePassword(
    asked: { person: string; session: string; password: string; next: string },
    from: From,
  ): Promise<'done' | PeopleFault>;
  endSession(session: string): Promise<void>;
  remove(person: string): Promise<'done' | PeopleFault>;
  list(ownSession: string | null): PersonView[];
  /** Makes a pairing code for somebody new, or for a person who forgot the password. */
  pairing(person: string | null): PairingView | PeopleFault;
  /** Hears of each session that ended. */
  onEnded(listener: (session: string) => void): void;
};

/** What only the owner of the data folder may do. */
export type OwnerDesk = {
  open(settings: DoorSettings): Promise<OpenedView | PeopleFault>;
  shut(): Promise<void>;
  /** How the house stands open, with a pairing code where one is asked for. */
  opened(withCode: boolean): OpenedView;
  /** Makes a probe's key, or takes it away: then the answer is null. */
  key(probe: string, revoke: boolean): Promise<string | null | PeopleFault>;
};
