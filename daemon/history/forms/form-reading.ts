/** A reading as files hold it, and the words for its flags. */
import { readingFlags } from '../../../shared/contract/input.ts';

/** One reading of a file: UTC in whole epoch ms, °C, `readingFlags`. */
export type FormReading = { probe: string; atMs: number; tempC: number; flags: number };

const flagWords = Object.entries(readingFlags);

/** The names of the flags that are set, in the order of their bits, such as `receipt late`. */
export function wordsOfFlags(flags: number): string {
  if (flags === 0) return '';
  return flagWords
    .filter(([, bit]) => (flags & bit) !== 0)
    .map(([word]) => word)
    .join(' ');
}

/** The flags behind words parted by spaces; null where one of them is unknown. */
export function flagsOfWords(text: string): number | null {
  let flags = 0;
  for (const word of text.split(' ')) {
    if (word === '') continue;
    const bit = flagWords.find(([known]) => known === word)?.[1];
    if (bit === undefined) return null;
    flags |= bit;
  }
  return flags;
}
