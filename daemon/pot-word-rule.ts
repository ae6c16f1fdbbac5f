/** Which heats and holds a house takes: those that readings of a probe can show. */
import type { HoldAsked } from '../shared/contract/hold.ts';
import type { Word } from '../shared/contract/word.ts';
import { holdLeastMs, refusedHold } from '../shared/dairy/legal-holds.ts';
import type { WordFault } from './http/desk.ts';

/** Returns why a word about a pot cannot be taken; null where it can. */
export function faultOfPot(word: Extract<Word, { kind: 'heat-begin' | 'hold-begin' }>): WordFault | null {
  if (word.kind === 'hold-begin') return faultOfHold(word.hold, word.hold.limitC ?? null);
  if ((word.limitC === undefined) !== (word.toBoil === true)) {
    return refused(
      'a heat must go to a limit or to the boil',
      'neither or both',
      'Give limitC, or toBoil: true.',
    );
  }
  const { holdAfter } = word;
  if (holdAfter === undefined) return null;
  return faultOfHold(holdAfter, holdAfter.limitC ?? word.limitC ?? null);
}

function faultOfHold(hold: HoldAsked, limitC: number | null): WordFault | null {
  const { highC, holdMs, pair } = hold;
  if (pair !== undefined) return null;
  const short = refusedHold({ limitC, holdMs });
  if (short !== null) {
    const why =
      short.pair === null
        ? 'Readings of a probe prove no shorter one.'
        : `${short.pair} is a pair of continuous flow, where every particle has its time; a probe in a pot cannot prove it.`;
    return refused(`a hold must last ${holdLeastMs / 60_000} min or more`, `${holdMs / 1000} s`, why);
  }
  if (highC !== undefined && limitC !== null && highC <= limitC) {
    return refused('highC must lie over the limit', `${highC}`, 'Give the colder limit as limitC.');
  }
  return null;
}

function refused(must: string, got: string, doThis: string): WordFault {
  return { reason: 'refused', code: 'WORD_HOLD', message: `WORD_HOLD: ${must}, got ${got}. ${doThis}` };
}
