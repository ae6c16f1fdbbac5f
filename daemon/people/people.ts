/** The people of a house: how they come in, what they may do about one another, how they are shown out. */
import { type PersonView, personNameCharsMax } from '../../shared/contract/door.ts';
import { plainIdPattern } from '../../shared/contract/ids.ts';
import { type DoorFault, doorFault, waitFault } from './door-fault.ts';
import type { KeepPeople, KeptPerson, PeopleKept } from './kept.ts';
import { type CodeFor, openPairings } from './pairing.ts';
import { type Hashing, passwordFault } from './password.ts';
import { openSessions, type Sessions } from './sessions.ts';
import { openTries } from './tries.ts';

/** The most people of a house; one more is refused with `DOOR_FULL`. */
export const peopleMax = 32;

export type PeopleOptions = {
  kept: Pick<PeopleKept, 'people' | 'sessions'>;
  keep: KeepPeople;
  hashing: Hashing;
  /** Epoch ms. */
  nowMs: () => number;
  /** A clock that nobody can set. */
  steadyMs: () => number;
};

/** Somebody who just came in; the token goes into a cookie and is kept nowhere. */
export type CameIn = { person: { id: string; name: string }; session: string; token: string };

/** From where somebody asks: the address, which is counted, and what the browser calls itself. */
export type From = { address: string; where: string };

export type People = Pick<Sessions, 'admit' | 'onEnded'> & {
  readonly count: number;
  nameOf(person: string): string | null;
  /** Makes a code for somebody new, or for a person who forgot the password. */
  makeCode(who: CodeFor): { code: string; goodUntilMs: number } | DoorFault;
  /** Lets in whoever has a code; the code is used up by it. */
  pair(asked: { code: string; name: string; password: string }, from: From): Promise<CameIn | DoorFault>;
  signIn(asked: { name: string; password: string }, from: From): Promise<CameIn | DoorFault>;
  /** Changes a person's password and ends all other sessions of this person. */
  changePassword(
    asked: { person: string; session: string; password: string; next: string },
    from: From,
  ): Promise<'done' | DoorFault>;
  endSession(session: string): Promise<void>;
  /** Removes a person with all sessions; what was said stays in the record. */
  remove(person: string): Promise<'done' | DoorFault>;
  /** Everybody, `ownSession` marked. */
  list(ownSession: string | null): PersonView[];
};

const wrongCode = doorFault(
  'DOOR_CODE',
  'The pairing code must be one that was made in the last ten minutes and not used, got another. Make a new one: springhouse people code.',
);
const wrongSignIn = doorFault(
  'DOOR_WRONG',
  'Name and password must fit, got others. Look at both; a new pairing code sets a new password.',
);
const hashesFull = doorFault('DOOR_FULL', 'Few must sign in at once, got many. Come again in a few seconds.');

/** Opens the people that were kept. What changes is refused, by a rejection, where it cannot be kept. */
export function openPeople({ kept, keep, hashing, nowMs, steadyMs }: PeopleOptions): People {
  const people = new Map(kept.people.map((person) => [person.id, person]));
  const sessions = openSessions({ kept: kept.sessions, keep, nowMs });
  const pairings = openPairings(steadyMs);
  const tries = openTries(steadyMs);

  const comeIn = async ({ id, name }: KeptPerson, { where }: From): Promise<CameIn> => {
    return { person: { id, name }, ...(await sessions.begin(id, where)) };
  };
  /** The person of a right password; else why not. */
  const proved = async (name: string, password: string, address: string): Promise<KeptPerson | DoorFault> => {
    const id = personIdOf(name);
    const waitMs = tries.take(address, id ?? 'nobody');
    if (waitMs > 0) return waitFault(waitMs);
    const person = people.get(id ?? '');
    const fits = await hashing.fits(password, person?.password ?? null);
    if (fits === null) return hashesFull;
    if (!fits || person === undefined) return wrongSignIn;
    tries.right(person.id);
    return person;
  };
  const setPassword = async (person: KeptPerson, spared: string | null): Promise<void> => {
    await keep([{ put: 'person', row: person }]);
    people.set(person.id, person);
    await sessions.end((session) => session.person === person.id && session.id !== spared);
  };
  return {
    admit: sessions.admit,
    onEnded: sessions.onEnded,
    get count() {
      return people.size;
    },
    nameOf: (person) => people.get(person)?.name ?? null,
    makeCode: (who) => {
      if (who.person !== null && !people.has(who.person)) return unknownPerson(who.person);
      const { code, spanMs } = pairings.make(who);
      return { code, goodUntilMs: nowMs() + spanMs };
    },
    pair: async ({ code, name, password }, from) => {
      const waitMs = tries.take(from.address, null);
      if (waitMs > 0) return waitFault(waitMs);
      const who = pairings.look(code);
      if (who === null) return wrongCode;
      const known = who.person === null ? null : (people.get(who.person) ?? null);
      const id = known?.id ?? personIdOf(name);
      const fault = newcomerFault({ id, name, password, known, people });
      if (id === null || fault !== null) return fault ?? nameFault(name);
      const line = await hashing.hash(password);
      if (line === null) return hashesFull;
      if (!pairings.use(code)) return wrongCode;
      if (known === null && people.has(id)) return nameTaken(name);
      const fresh = { id, name: known?.name ?? name.trim(), pairedAtMs: known?.pairedAtMs ?? nowMs() };
      const person = { ...fresh, password: line };
      await setPassword(person, null);
      tries.right(id);
      return comeIn(person, from);
    },
    signIn: async ({ name, password }, from) => {
      const person = await proved(name, password, from.address);
      return 'code' in person ? person : comeIn(person, from);
    },
    changePassword: async ({ person: id, session, password, next }, { address }) => {
      const name = people.get(id)?.name;
      if (name === undefined) return unknownPerson(id);
      const rule = passwordFault(next, name);
      if (rule !== null) return passwordRule(rule);
      const person = await proved(name, password, address);
      if ('code' in person) return person;
      const line = await hashing.hash(next);
      if (line === null) return hashesFull;
      await setPassword({ ...person, password: line }, session);
      return 'done';
    },
    endSession: (session) => sessions.end(({ id }) => id === session),
    remove: async (id) => {
      if (!people.delete(id)) return unknownPerson(id);
      const ended = sessions.end(({ person }) => person === id);
      await Promise.all([ended, keep([{ drop: 'person', id }])]);
      return 'done';
    },
    list: (ownSession) =>
      [...people.values()].map(({ id, name, pairedAtMs }) => ({
        id,
        name,
        pairedAtMs,
        sessions: sessions
          .of(id)
          .sort((a, b) => b.usedAtMs - a.usedAtMs)
          .map((session) => ({
            id: session.id,
            where: session.where,
            sinceMs: session.madeAtMs,
            usedAtMs: session.usedAtMs,
            own: session.id === ownSession,
          })),
      })),
  };
}

/** Returns the id of a name: its letters and digits in small; null where none are left. */
export function personIdOf(name: string): string | null {
  const plain = name
    .normalize('NFKD')
    .toLowerCase()
    .replace(/\p{M}/gu, '')
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, personNameCharsMax);
  return plainIdPattern.test(plain) ? plain : null;
}

/** `house` is who speaks where nobody signs in, and the others would be taken for parts of the house. */
const reservedIds = ['house', 'daemon', 'broker', 'page'];

function newcomerFault({
  id,
  name,
  password,
  known,
  people,
}: {
  id: string | null;
  name: string;
  password: string;
  known: KeptPerson | null;
  people: ReadonlyMap<string, KeptPerson>;
}): DoorFault | null {
  if (known === null) {
    const isName = /^[^\p{C}]+$/u.test(name) && [...name.trim()].length <= personNameCharsMax;
    if (id === null || !isName || reservedIds.includes(id)) return nameFault(name);
    if (people.has(id)) return nameTaken(name);
    if (people.size >= peopleMax) return peopleFull;
  }
  const rule = passwordFault(password, known?.name ?? name);
  return rule === null ? null : passwordRule(rule);
}

const peopleFull = doorFault(
  'DOOR_FULL',
  `The house must have at most ${peopleMax} people, got one more. Remove somebody first.`,
);

function nameFault(name: string): DoorFault {
  return doorFault(
    'DOOR_NAME',
    `The name must be text of 1 to ${personNameCharsMax} characters with a letter or digit in it, got ${shown(name)}. Give the name that the others know.`,
  );
}

function nameTaken(name: string): DoorFault {
  return doorFault(
    'DOOR_NAME',
    `The name must be one that nobody else has, got ${shown(name)}. Give another, or sign in.`,
  );
}

function passwordRule(rule: string): DoorFault {
  return doorFault('DOOR_PASSWORD', `The password must be ${rule}, got another. Three unlike words do well.`);
}

function unknownPerson(id: string): DoorFault {
  return doorFault(
    'DOOR_UNKNOWN',
    `The person must be one of this house, got ${shown(id)}. springhouse people lists them.`,
  );
}

/** A foreign value as it may stand in a sentence: quoted, one line, cut. */
function shown(text: string): string {
  return JSON.stringify(text.length > 40 ? `${text.slice(0, 40)}…` : text);
}
