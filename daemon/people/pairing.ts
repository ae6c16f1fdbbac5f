/** Pairing codes: good once, for ten minutes, and only as long as nobody guesses. They are kept in memory alone. */
import { isSame, newCode, plainCode } from './secret-text.ts';

/** How long a code is good. */
export const codeMsMax = 600_000;

/** Codes that are good at once; with one more the oldest is not. */
export const codesMax = 4;

/** Wrong codes after which all that are good are thrown away: somebody is guessing. */
export const wrongCodesMax = 20;

/** For whom a code is: somebody new, or a person who gets a new password by it. */
export type CodeFor = { person: string | null };

export type Pairings = {
  /** Makes a code. */
  make(who: CodeFor): { code: string; spanMs: number };
  /** Returns for whom a code is, without using it up; null where it is not good, which is counted. */
  look(typed: string): CodeFor | null;
  /** Uses a code up; false where somebody else just did. */
  use(typed: string): boolean;
};

/** Opens without a code; `steadyMs` is a clock that nobody can set. */
export function openPairings(steadyMs: () => number): Pairings {
  let good: { code: string; untilMs: number; who: CodeFor }[] = [];
  let wrong = 0;
  const find = (typed: string) => {
    good = good.filter(({ untilMs }) => untilMs > steadyMs());
    // Every one is compared, so that the time does not tell which came near.
    return good.filter(({ code }) => isSame(plainCode(code), plainCode(typed)))[0];
  };
  return {
    make: (who) => {
      const code = newCode();
      good = [...good, { code, untilMs: steadyMs() + codeMsMax, who }].slice(-codesMax);
      wrong = 0;
      return { code, spanMs: codeMsMax };
    },
    look: (typed) => {
      const found = find(typed);
      if (found !== undefined) return found.who;
      wrong += 1;
      if (wrong >= wrongCodesMax) good = [];
      return null;
    },
    use: (typed) => {
      const found = find(typed);
      good = good.filter((each) => each !== found);
      return found !== undefined;
    },
  };
}
