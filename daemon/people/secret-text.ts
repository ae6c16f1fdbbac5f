/** Secrets that the house makes, and what it keeps of them. */
import { createHash, randomBytes, randomInt, timingSafeEqual } from 'node:crypto';

/** Signs of a code that a person reads and types: no I, L, O, U, which are taken for others (Crockford's base 32). */
const codeSigns = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';

/** How many signs a pairing code has: 40 bits, against at most `wrongCodesMax` guesses. */
const codeLength = 8;

/** Returns a new session token: 256 random bits as base64url. */
export function newToken(): string {
  return randomBytes(32).toString('base64url');
}

/** Returns a new password of a probe: 120 random bits as 20 signs that need no quotes anywhere. */
export function newProbePassword(): string {
  return randomBytes(15).toString('base64url');
}

/** Returns a new pairing code, eight signs with a dash in the middle. */
export function newCode(): string {
  const signs = Array.from({ length: codeLength }, () => codeSigns[randomInt(codeSigns.length)]).join('');
  return `${signs.slice(0, 4)}-${signs.slice(4)}`;
}

/** Returns a code as typed without dashes and spaces, in capitals, with O and 0, I, L and 1 taken for one another. */
export function plainCode(typed: string): string {
  return typed.toUpperCase().replace(/[\s-]/g, '').replace(/O/g, '0').replace(/[IL]/g, '1');
}

/** Returns the SHA-256 of a secret that is random enough to need no slow hash, in hex. */
export function hashOf(secret: string): string {
  return createHash('sha256').update(secret).digest('hex');
}

/** Returns whether two texts are equal, in a time that does not tell where they differ. */
export function isSame(a: string, b: string): boolean {
  const [left, right] = [Buffer.from(hashOf(a)), Buffer.from(hashOf(b))];
  return timingSafeEqual(left, right);
}
