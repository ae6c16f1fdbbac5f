import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { problem } from '../../shared/contract/api.ts';
import {
  doneView,
  doorView,
  pairingView,
  peopleView,
  postedNothing,
  postedPair,
  postedPassword,
  postedPerson,
  postedSession,
  postedSignIn,
} from '../../shared/contract/door.ts';
import { mustSignIn } from './admission.ts';
import { cookieOf, cookieOver } from './cookie.ts';
import { type Door, whoOf } from './door.ts';
import type { CameIn, From, PeopleDesk, PeopleFault } from './people-desk.ts';
import { refuse } from './problems.ts';

const done = { v: 1 as const, done: true as const };
const refusals = { 401: problem, 403: problem, 404: problem, 422: problem, 429: problem, 503: problem };

export type PeopleRoutesOptions = {
  /** Null where nobody can be paired: in a demo, and in tests of other things. */
  people: PeopleDesk | null;
  /** The door of a request. */
  doorOf: (request: FastifyRequest) => Door;
};

/** Adds the door: what anybody may know of it, and how people come in and go. */
export function addDoorRoutes(plain: FastifyInstance, { people, doorOf }: PeopleRoutesOptions): void {
  const app = plain.withTypeProvider<ZodTypeProvider>();

  app.get(
    '/api/door',
    {
      schema: {
        operationId: 'door',
        summary: 'Whether one must sign in, and who has',
        response: { 200: doorView },
      },
    },
    async (request) => {
      const door = doorOf(request);
      const who = whoOf(request);
      const name = who === null ? null : (people?.nameOf(who.person) ?? null);
      return {
        v: 1 as const,
        open: people?.isOpen() ?? false,
        signIn: mustSignIn(door, people),
        secure: door.secure,
        person: who === null || name === null ? null : { id: who.person, name },
      };
    },
  );
  if (people === null) return;

  const welcome = (request: FastifyRequest, reply: FastifyReply, came: CameIn | PeopleFault) => {
    if ('code' in came) return refuseWaiting(reply, came);
    const { secure } = doorOf(request);
    reply.header('set-cookie', cookieOf(came.token, secure));
    return { v: 1 as const, open: people.isOpen(), signIn: true, secure, person: came.person };
  };

  app.post(
    '/api/door/pair',
    {
      schema: {
        operationId: 'pair',
        summary: 'Come in with a pairing code, and be signed in',
        body: postedPair,
        response: { 200: doorView, ...refusals },
      },
    },
    async (request, reply) => welcome(request, reply, await people.pair(request.body, fromOf(request))),
  );

  app.post(
    '/api/door/sign-in',
    {
      schema: {
        operationId: 'signIn',
        summary: 'Sign in with name and password',
        body: postedSignIn,
        response: { 200: doorView, ...refusals },
      },
    },
    async (request, reply) => {
      // Who signs in anew leaves the session before, so that no token of it is left lying about.
      const before = whoOf(request)?.session ?? null;
      const came = await people.signIn(request.body, fromOf(request));
      if (before !== null && !('code' in came)) await people.endSession(before);
      return welcome(request, reply, came);
    },
  );

  app.post(
    '/api/door/sign-out',
    {
      schema: {
        operationId: 'signOut',
        summary: 'End this session',
        body: postedNothing,
        response: { 200: doneView, ...refusals },
      },
    },
    async (request, reply) => {
      const session = whoOf(request)?.session ?? null;
      reply.header('set-cookie', cookieOver(doorOf(request).secure));
      if (session !== null) await people.endSession(session);
      return done;
    },
  );

  app.post(
    '/api/door/password',
    {
      schema: {
        operationId: 'changePassword',
        summary: 'Change the own password; all other sessions of the person end',
        body: postedPassword,
        response: { 200: doneView, ...refusals },
      },
    },
    async (request, reply) => {
      const who = whoOf(request);
      if (who === null || who.session === null) return refuse(reply, notSignedIn);
      const { password, next } = request.body;
      const asked = { person: who.person, session: who.session, password, next };
      return doneOr(reply, await people.changePassword(asked, fromOf(request)));
    },
  );
}

/** Adds what signed-in people may do about one another. */
export function addPeopleRoutes(plain: FastifyInstance, people: PeopleDesk): void {
  const app = plain.withTypeProvider<ZodTypeProvider>();

  app.get(
    '/api/people',
    {
      schema: {
        operationId: 'people',
        summary: 'Who may come in',
        response: { 200: peopleView, 401: problem },
      },
    },
    async (request) => ({ v: 1 as const, people: people.list(whoOf(request)?.session ?? null) }),
  );

  app.post(
    '/api/people/code',
    {
      schema: {
        operationId: 'makeCode',
        summary: 'Make a pairing code for somebody new; it is good once, for ten minutes',
        body: postedNothing,
        response: { 200: pairingView, ...refusals },
      },
    },
    async (_request, reply) => {
      const made = people.pairing(null);
      return 'message' in made ? refuseWaiting(reply, made) : made;
    },
  );

  app.post(
    '/api/people/remove',
    {
      schema: {
        operationId: 'removePerson',
        summary: 'Remove a person and end all sessions of this person; what was said stays in the record',
        body: postedPerson,
        response: { 200: doneView, ...refusals },
      },
    },
    async (request, reply) => doneOr(reply, await people.remove(request.body.person)),
  );

  app.post(
    '/api/people/end-session',
    {
      schema: {
        operationId: 'endSession',
        summary: 'End a session, of oneself or of another; one that has ended is no fault',
        body: postedSession,
        response: { 200: doneView, ...refusals },
      },
    },
    async (request) => {
      await people.endSession(request.body.session);
      return done;
    },
  );
}

const notSignedIn = {
  code: 'DOOR_SIGN_IN',
  message: 'Whoever changes a password must be signed in, got nobody. Sign in first.',
} as const;

function fromOf(request: FastifyRequest): From {
  return { address: request.ip, where: request.headers['user-agent'] ?? '' };
}

function doneOr(reply: FastifyReply, answer: 'done' | PeopleFault) {
  return answer === 'done' ? done : refuseWaiting(reply, answer);
}

function refuseWaiting(reply: FastifyReply, { waitMs, ...fault }: PeopleFault) {
  if (waitMs !== undefined) reply.header('retry-after', String(Math.ceil(waitMs / 1000)));
  return refuse(reply, fault) as never;
}
