/** The doors of a house: where a request came in, and who it is. */
import type { IncomingMessage } from 'node:http';
import type { FastifyRequest } from 'fastify';

/**
 * One door. `loopback` is for this machine, `network` for the home network, `owner` for who may use the data
 * folder (a socket in it).
 */
export type Door = {
  kind: 'loopback' | 'network' | 'owner';
  /** What the Host header may say, in small letters. */
  hosts: readonly string[];
  /** True where what passes is encrypted. */
  secure: boolean;
};

/** Who asks: a person who signed in, or `house` where nobody needs to; null where it is nobody. */
export type Who = { person: string; session: string | null };

const doors = new WeakMap<IncomingMessage, Door>();
const askers = new WeakMap<FastifyRequest, Who | null>();

/** Notes by which door a message came in. */
export function cameBy(message: IncomingMessage, door: Door): void {
  doors.set(message, door);
}

/** Returns the door of a request; undefined where none was noted: then it is the server's own, the loopback. */
export function doorOf(request: FastifyRequest): Door | undefined {
  return doors.get(request.raw);
}

/** Notes who a request is from. */
export function isFrom(request: FastifyRequest, who: Who | null): void {
  askers.set(request, who);
}

/** Returns who a request is from; null before that is known, and where it is nobody. */
export function whoOf(request: FastifyRequest): Who | null {
  return askers.get(request) ?? null;
}

/** Who asks where nobody needs to sign in. */
export const housePerson = 'house';

/** Returns the loopback's door on a port. */
export function loopbackDoor(port: number): Door {
  return {
    kind: 'loopback',
    hosts: hostsOf(['127.0.0.1', 'localhost', '[::1]'], port, false),
    secure: false,
  };
}

/** Returns what the Host header may say for these names on a port: without the port where it is the usual one. */
export function hostsOf(names: readonly string[], port: number, secure: boolean): string[] {
  return names.flatMap((name) => {
    const plain = name.toLowerCase();
    return port === (secure ? 443 : 80) ? [plain, `${plain}:${port}`] : [`${plain}:${port}`];
  });
}
