/** Takes people's words: each once, and only those that the house can follow. Wiring. */
import type { PostedWord, Word, WordAnswer } from '../shared/contract/word.ts';
import type { HouseDesk, WordFault } from './http/desk.ts';
import type { Intake } from './intake/intake.ts';
import { DiskFault } from './sqlite/disk-fault.ts';

/** Words remembered to answer a repeated tap; one said longer ago is known by the record, if it still fits. */
export const saidMax = 1_000;

/** `faultOf` says why a word cannot be followed; null where it can. */
export function openSaying(
  intake: Pick<Intake, 'say'>,
  faultOf: (word: Word) => WordFault | null,
): HouseDesk['say'] {
  const said = new Map<string, WordAnswer>();
  return async ({ id: wordId, word }: PostedWord, by) => {
    // First what was said before: a word that has had its effect, such as the end of a watch, would not fit again.
    const before = said.get(wordId);
    if (before !== undefined) return { ...before, already: true };
    const fault = faultOf(word);
    if (fault !== null) return fault;
    try {
      const answer: WordAnswer = { v: 1, ...(await intake.say({ wordId, by, word })) };
      said.set(wordId, answer);
      if (said.size > saidMax) said.delete(said.keys().next().value as string);
      return answer;
    } catch (error) {
      if (!(error instanceof DiskFault)) throw error;
      return { reason: 'unavailable', code: error.code, message: error.message };
    }
  };
}
