/** Passwords: what they must be, and how they are kept. */
import { randomBytes, scrypt, timingSafeEqual } from 'node:crypto';
import { passwordChars } from '../../shared/contract/password-chars.ts';

/**
 * The work of one hash: 32 MB and three rounds, one of the equal choices of the OWASP Password Storage
 * Cheat Sheet for scrypt (N = 2^15, r = 8, p = 3); half a second on a small board.
 */
export const usualWork: Work = { N: 2 ** 15, r: 8, p: 3 };
/** The parameters of scrypt (RFC 7914). */
export type Work = { N: number; r: number; p: number };

const keyBytes = 32;

/** Hashes at once: each takes 32 MB, and a small board has not many. */
const hashesAtOnceMax = 2;

/** Hashes that may wait; one more resolves null at once, and its asker is told to come again. */
export const hashesWaitingMax = 16;

/** Passwords that everybody tries first; a few stand for the many, the length rule keeps off the rest. */
const guessed = ['password', 'passwort', 'springhouse', 'qwertyuiop', '1234567890', '0123456789', 'letmein'];

/** Returns the rule that a new password breaks, to follow "must be"; null where it breaks none. */
export function passwordFault(password: string, name: string): string | null {
  const text = password.normalize('NFKC');
  const length = [...text].length;
  if (length < passwordChars.min || length > passwordChars.max) {
    return `from ${passwordChars.min} to ${passwordChars.max} characters long`;
  }
  const plain = text.toLowerCase();
  const own = name.toLowerCase().trim();
  // What is left beyond the guessed part must still be a password of some length.
  const isGuessed = [...guessed, ...(own.length >= 3 ? [own] : [])].some(
    (word) => plain.replaceAll(word, '').length < passwordChars.min - 4 && plain.includes(word),
  );
  if (isGuessed || new Set(plain).size < 4) return 'harder to guess';
  return null;
}

export type Hashing = {
  /** Resolves with the line to keep, or null where too many wait. */
  hash(password: string): Promise<string | null>;
  /** Resolves whether a password fits a kept line; with a null line it takes as long and is false. */
  fits(password: string, line: string | null): Promise<boolean | null>;
};

/** Opens the hashing, at most two at once; tests give less work. */
export function openHashing(cost: Work = usualWork): Hashing {
  let running = 0;
  const waiting: (() => void)[] = [];
  const inTurn = async <T>(work: () => Promise<T>): Promise<T | null> => {
    if (running >= hashesAtOnceMax) {
      if (waiting.length >= hashesWaitingMax) return null;
      await new Promise<void>((resolve) => waiting.push(resolve));
    }
    running += 1;
    try {
      return await work();
    } finally {
      running -= 1;
      waiting.shift()?.();
    }
  };
  return {
    hash: (password) =>
      inTurn(async () => {
        const salt = randomBytes(16);
        const key = await derive(password, { salt, ...cost });
        return ['scrypt', cost.N, cost.r, cost.p, salt.toString('base64url'), key.toString('base64url')].join(
          '$',
        );
      }),
    fits: (password, line) =>
      inTurn(async () => {
        const [kind, n, r, p, salt = '', key = ''] = (line ?? lineOfNobody(cost)).split('$');
        if (kind !== 'scrypt') return false;
        const work = { N: Number(n), r: Number(r), p: Number(p) };
        const made = await derive(password, { salt: Buffer.from(salt, 'base64url'), ...work });
        const kept = Buffer.from(key, 'base64url');
        return kept.length === made.length && timingSafeEqual(kept, made) && line !== null;
      }),
  };
}

/** What a password of nobody is held against, so that a name that does not exist takes as long as one that does. */
function lineOfNobody({ N, r, p }: Work): string {
  return ['scrypt', N, r, p, 'A'.repeat(22), 'A'.repeat(43)].join('$');
}

function derive(password: string, { salt, N, r, p }: Work & { salt: Buffer }): Promise<Buffer> {
  const text = password.normalize('NFKC');
  return new Promise((resolve, reject) => {
    scrypt(text, salt, keyBytes, { N, r, p, maxmem: 256 * N * r }, (error, key) => {
      if (error === null) resolve(key);
      else reject(error);
    });
  });
}
