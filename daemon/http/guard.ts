/**
 * Who may ask. Any web page open in a browser on this machine or in this network can send requests to the
 * house, and a page whose name is re-pointed at its address can even read the answers. So the Host header
 * must name a door of this house, and what changes or holds something must come from our own page.
 */
import type { Door } from './door.ts';
import type { HttpFault } from './problems.ts';
import { shown } from './problems.ts';

/** The head of a request, as much of it as the guard looks at. Header names are lower case. */
export type RequestHead = {
  method: string;
  /** True for the live feed, which holds a connection. */
  isFeed: boolean;
  headers: Readonly<Record<string, string | string[] | undefined>>;
};

const readingMethods = ['GET', 'HEAD'];

/** Returns why a request at a door is refused before anything of it is looked at, or null. */
export function guardRequest(head: RequestHead, door: Omit<Door, 'kind'>): HttpFault | null {
  return hostFault(head, door) ?? originFault(head, door) ?? typeFault(head);
}

function hostFault({ headers }: RequestHead, { hosts: allowed }: Omit<Door, 'kind'>): HttpFault | null {
  const host = headers.host;
  if (typeof host === 'string' && allowed.includes(host.toLowerCase())) return null;
  return {
    code: 'HTTP_HOST',
    message: `The Host header must be ${allowed.join(' or ')}, got ${shown(host)}. Open the address that the house printed.`,
  };
}

function originFault(
  { method, isFeed, headers }: RequestHead,
  { secure }: Omit<Door, 'kind'>,
): HttpFault | null {
  if (readingMethods.includes(method) && !isFeed) return null;
  const own = `${secure ? 'https' : 'http'}://${headers.host}`.toLowerCase();
  const origin = headers.origin;
  // An image or a script tag of another page sends no Origin; browsers mark it by this header instead.
  const site = headers['sec-fetch-site'];
  const isForeign = site !== undefined && site !== 'same-origin' && site !== 'none';
  if ((origin === undefined || origin === own) && !isForeign) return null;
  return {
    code: 'HTTP_ORIGIN',
    message: `The Origin must be ${own}, got ${shown(origin ?? site)}. Use the house's own page.`,
  };
}

function typeFault({ method, headers }: RequestHead): HttpFault | null {
  if (readingMethods.includes(method)) return null;
  const type = headers['content-type'];
  if (typeof type === 'string' && /^application\/json(; ?charset=utf-8)?$/i.test(type)) return null;
  return {
    code: 'HTTP_TYPE',
    message: `The content type must be application/json, got ${shown(type)}. Send it with that header.`,
  };
}
