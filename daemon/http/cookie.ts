/** The one cookie: a session's token (RFC 6265). No script may read it and no other site's request carries it. */
import { ageDaysMax } from './limits.ts';

/** The name by which a browser sends it: over TLS one that only this host and only TLS can set. */
export function cookieName(secure: boolean): string {
  return secure ? '__Host-springhouse' : 'springhouse';
}

/** Returns the Set-Cookie header of a token. */
export function cookieOf(token: string, secure: boolean): string {
  return cookieText(token, { secure, ageS: ageDaysMax * 86_400 });
}

/** Returns the Set-Cookie header that makes a browser forget the token. */
export function cookieOver(secure: boolean): string {
  return cookieText('', { secure, ageS: 0 });
}

function cookieText(value: string, { secure, ageS }: { secure: boolean; ageS: number }): string {
  const flags = `Path=/; Max-Age=${ageS}; HttpOnly; SameSite=Strict${secure ? '; Secure' : ''}`;
  return `${cookieName(secure)}=${value}; ${flags}`;
}

/** Returns the token of a Cookie header; null where there is none, or more than one. */
export function tokenIn(header: string | undefined, secure: boolean): string | null {
  const name = `${cookieName(secure)}=`;
  const found = (header ?? '')
    .split(';')
    .map((part) => part.trim())
    .filter((part) => part.startsWith(name))
    .map((part) => part.slice(name.length));
  const [token = ''] = found;
  return found.length === 1 && /^[\w-]{43}$/.test(token) ? token : null;
}
