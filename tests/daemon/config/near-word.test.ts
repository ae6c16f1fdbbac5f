import { expect, it } from 'vitest';
import { nearWord } from '../../../daemon/config/near-word.ts';

const known = ['place', 'vessel', 'uncertainty', 'id'];

it.each([
  ['plaec', 'place'],
  ['Place', 'place'],
  ['vesel', 'vessel'],
  ['uncertanity', 'uncertainty'],
  ['uncertain', 'uncertainty'],
])('finds for %j the word %j', (typed, word) => {
  expect(nearWord(typed, known)).toBe(word);
});

it.each(['colour', 'x', '', 'ix', 'v'.repeat(10_000)])('finds no word for %j', (typed) => {
  expect(nearWord(typed, known)).toBeNull();
});
