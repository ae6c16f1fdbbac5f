/** Who may come in: what the page and the command line ask of the doors of a house. */
import { z } from 'zod';
import { instantMs, plainId } from './ids.ts';

/** The longest name of a person. */
export const personNameCharsMax = 40;

/** A person as all signed-in people see them. */
export const personView = z.object({
  id: plainId,
  name: z.string(),
  pairedAtMs: instantMs,
  /** Where this person is signed in, the newest use first. */
  sessions: z.array(
    z.object({
      id: z.string(),
      /** What the browser calls itself, cut short. */
      where: z.string(),
      sinceMs: instantMs,
      usedAtMs: instantMs,
      /** True for the one that asks. */
      own: z.boolean(),
    }),
  ),
});
export type PersonView = z.infer<typeof personView>;

/** `GET /api/door`: what a page must know before anybody signs in, and nothing of the house. */
export const doorView = z.object({
  v: z.literal(1),
  /** True while the house listens to its network. */
  open: z.boolean(),
  /** True where this asker must sign in. */
  signIn: z.boolean(),
  /** True where what passes is encrypted. */
  secure: z.boolean(),
  /** Who is signed in; null where nobody is. */
  person: z.object({ id: plainId, name: z.string() }).nullable(),
});
export type DoorView = z.infer<typeof doorView>;

/** `GET /api/people`. */
export const peopleView = z.object({ v: z.literal(1), people: z.array(personView) });

/** `POST /api/door/pair`: a person comes in with a code that is good once. */
export const postedPair = z.strictObject({
  v: z.literal(1),
  code: z.string().min(1).max(20),
  name: z.string().max(200),
  password: z.string().max(1024),
});
export type PostedPair = z.infer<typeof postedPair>;

/** `POST /api/door/sign-in`. */
export const postedSignIn = z.strictObject({
  v: z.literal(1),
  name: z.string().max(200),
  password: z.string().max(1024),
});
export type PostedSignIn = z.infer<typeof postedSignIn>;

/** `POST /api/door/password`: ends all other sessions of the person. */
export const postedPassword = z.strictObject({
  v: z.literal(1),
  password: z.string().max(1024),
  next: z.string().max(1024),
});

/** A post that names one thing, or none. */
export const postedPerson = z.strictObject({ v: z.literal(1), person: plainId });
export const postedSession = z.strictObject({ v: z.literal(1), session: z.string().max(64) });
export const postedNothing = z.strictObject({ v: z.literal(1) });

/** A pairing code as it is shown: the address to open, and the QR code of it as rows of `#` (dark) and `.`. */
export const pairingView = z.object({
  v: z.literal(1),
  code: z.string(),
  url: z.string(),
  goodUntilMs: instantMs,
  qr: z.array(z.string()),
});
export type PairingView = z.infer<typeof pairingView>;

/** The answer to what was done. */
export const doneView = z.object({ v: z.literal(1), done: z.literal(true) });

/** How the house listens beyond its own machine, as `open` was told it. */
export const doorSettings = z.object({
  open: z.boolean(),
  /** Addresses to listen on; empty for every address of the home network that this machine has. */
  addresses: z.array(z.string().max(64)).max(16),
  /** Names by which browsers reach this machine, beside its addresses. */
  names: z.array(z.string().max(253)).max(16),
  certFile: z.string().max(4096).nullable(),
  keyFile: z.string().max(4096).nullable(),
  /** Whether the broker listens too, and how: as the page (with a certificate: encrypted), always plain, or not. */
  broker: z.enum(['as-page', 'plain', 'no']),
});
export type DoorSettings = z.infer<typeof doorSettings>;

/** A house that was never opened. */
export const shutDoor: DoorSettings = {
  open: false,
  addresses: [],
  names: [],
  certFile: null,
  keyFile: null,
  broker: 'as-page',
};

/** What `springhouse open` prints: where the house listens, and the secrets made by it. */
export const openedView = z.object({
  v: z.literal(1),
  pages: z.array(z.string()),
  brokers: z.array(z.string()),
  house: z.string(),
  secure: z.boolean(),
  pairing: pairingView.nullable(),
  /** Passwords made now, shown once. */
  keys: z.array(z.object({ probe: plainId, password: z.string() })),
  /** Why the house does not listen somewhere. */
  faults: z.array(z.string()),
});
export type OpenedView = z.infer<typeof openedView>;
