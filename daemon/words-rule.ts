/** Which words a house takes: they must name what it has, and instants that can be. */
import type { Word } from '../shared/contract/word.ts';
import type { House } from './config/house-file.ts';
import type { WordFault } from './http/desk.ts';
import { faultOfPot } from './pot-word-rule.ts';

export type WordsRuleOptions = {
  house: House;
  /** True for a probe that was heard, though the house file does not name it. */
  isHeard: (probe: string) => boolean;
  isOpenWatch: (watch: string) => boolean;
  nowMs: () => number;
};

/** How long ago what is told may have been: the end of milking, milk going in. */
const pastMaxMs = 12 * 3_600_000;

/** Returns why a word cannot be taken; null where it can. */
export function faultOfWord(word: Word, options: WordsRuleOptions): WordFault | null {
  if (word.kind === 'watch-end') {
    if (options.isOpenWatch(word.watch)) return null;
    return unknown('WORD_WATCH', `watch must be open, got ${word.watch}`, 'Look which watches there are.');
  }
  if (word.kind === 'notice-seen' || word.kind === 'prior-forget') return null;
  if (word.kind === 'notice-snoozed') return faultOfReminder(word.untilMs, options.nowMs());
  const { house } = options;
  const known = house.probes.some(({ id }) => id === word.probe) || options.isHeard(word.probe);
  if (!known) {
    return unknown(
      'WORD_PROBE',
      `probe must be one of this house, got ${word.probe}`,
      'Name one that it has.',
    );
  }
  const place = 'place' in word ? word.place : undefined;
  if (place !== undefined && !house.places.some(({ id }) => id === place)) {
    return unknown('WORD_PLACE', `place must be one of this house, got ${place}`, 'Name one of its places.');
  }
  if (word.kind === 'heat-begin' || word.kind === 'hold-begin') return faultOfPot(word);
  if (word.kind === 'milking-ended') return faultOfInstant('atMs', word.atMs, options.nowMs());
  if (word.kind === 'chill-begin') return faultOfInstant('sinceMs', word.sinceMs, options.nowMs());
  return null;
}

function faultOfInstant(name: string, atMs: number | undefined, nowMs: number): WordFault | null {
  if (atMs === undefined || (atMs <= nowMs + 60_000 && atMs >= nowMs - pastMaxMs)) return null;
  const got = Number.isFinite(new Date(atMs).valueOf()) ? new Date(atMs).toISOString() : String(atMs);
  const message = `WORD_INSTANT: ${name} must lie in the last 12 h, got ${got}. Say when it was.`;
  return { reason: 'refused', code: 'WORD_INSTANT', message };
}

/** How far ahead a reminder may be. */
const remindMaxMs = 24 * 3_600_000;

function faultOfReminder(untilMs: number, nowMs: number): WordFault | null {
  if (untilMs > nowMs && untilMs <= nowMs + remindMaxMs) return null;
  const got = Number.isFinite(new Date(untilMs).valueOf())
    ? new Date(untilMs).toISOString()
    : String(untilMs);
  const message = `WORD_INSTANT: untilMs must lie in the next 24 h, got ${got}. Choose an instant to come.`;
  return { reason: 'refused', code: 'WORD_INSTANT', message };
}

function unknown(code: string, must: string, doThis: string): WordFault {
  return { reason: 'unknown', code, message: `${code}: ${must}. ${doThis}` };
}
