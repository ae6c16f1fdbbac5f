/** Who may ask what: on an open house everybody signs in, but for the page's files and the door itself. */
import type { FastifyReply, FastifyRequest } from 'fastify';
import { cookieOf, tokenIn } from './cookie.ts';
import { type Door, housePerson, isFrom } from './door.ts';
import type { PeopleDesk } from './people-desk.ts';
import type { HttpFault } from './problems.ts';

/** Routes that everybody may ask: without them nobody could sign in. None of them tells of the house. */
const publicRoutes: readonly string[] = [
  'GET /*',
  'HEAD /*',
  'GET /api/door',
  'HEAD /api/door',
  'POST /api/door/pair',
  'POST /api/door/sign-in',
];

/** What a program on this machine that looks after the house may ask without signing in. */
const machineRoutes: readonly string[] = ['GET /health', 'HEAD /health'];

const signInFault: HttpFault = {
  code: 'DOOR_SIGN_IN',
  message: 'Whoever asks must be signed in, got nobody. Open the page and sign in.',
};

/** Finds out who asks, notes it, sends a renewed token along, and returns why the request is refused, or null. */
export async function admit(
  request: FastifyRequest,
  reply: FastifyReply,
  { door, people }: { door: Door; people: PeopleDesk | null },
): Promise<HttpFault | null> {
  const token = people === null ? null : tokenIn(request.headers.cookie, door.secure);
  const admitted = token === null ? null : ((await people?.admit(token)) ?? null);
  if (admitted !== null) {
    if (admitted.renewed !== null) reply.header('set-cookie', cookieOf(admitted.renewed, door.secure));
    isFrom(request, { person: admitted.person, session: admitted.session });
    return null;
  }
  if (!mustSignIn(door, people)) {
    isFrom(request, { person: housePerson, session: null });
    return null;
  }
  const route = `${request.method} ${request.routeOptions.url}`;
  const isMachine = door.kind === 'loopback' && machineRoutes.includes(route);
  return publicRoutes.includes(route) || isMachine ? null : signInFault;
}

/** Whether askers at this door must sign in: everybody once the house is open, but for its owner. */
export function mustSignIn(door: Door, people: PeopleDesk | null): boolean {
  if (door.kind === 'owner') return false;
  return door.kind === 'network' || people?.isOpen() === true;
}
