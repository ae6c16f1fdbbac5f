import { expect, test } from 'vitest';
import type { EventBody } from '../../../../shared/contract/event.ts';
import { dawnMs, jar, milker, minuteMs, openTold } from './told.ts';

const watch = 'chill-jar-1';
const taken: EventBody<'rescue-taken'> = {
  watch,
  rescue: 'ice-bath-stirred',
  chance: 0.9,
  crossing: { p10: null, p50: null, p90: null },
  lastUsefulAtMs: dawnMs + 25 * minuteMs,
  vessels: null,
};
const mailed = { ...milker, ways: ['mail'] };

test('ends a reminder of the last instant once the way out was taken', () => {
  const told = openTold(mailed);
  told.hear('chill-will-miss', jar.misses(watch, null, 25), 0);
  const untilMs = dawnMs + 25 * minuteMs;
  const word = { kind: 'notice-snoozed', matter: `${watch}:course`, untilMs } as const;
  told.hear('word-said', { wordId: 'snooze', word }, 1);
  expect(told.hear('rescue-taken', taken, 10)).toEqual([]);
  expect(told.pass(60)).toEqual([]);
});

test('tells at once of a way out that fails, as of a first warning, however soon that is', () => {
  const told = openTold(mailed);
  told.hear('chill-will-miss', jar.misses(watch), 0);
  told.hear('rescue-taken', taken, 3);
  expect(told.hear('chill-will-miss', jar.misses(watch), 10)).toEqual(['first warn to milker by mail: 3']);
});

test('tells that a rescued jar made it', () => {
  const told = openTold(mailed);
  told.hear('chill-will-miss', jar.misses(watch), 0);
  told.hear('rescue-taken', taken, 3);
  expect(told.hear('chill-made', jar.made(watch), 40)).toEqual(['first tell to milker by mail: 3']);
});

test('counts a jar that was rescued neither as a miss of its set-up nor as one that made it', () => {
  const told = openTold(mailed);
  for (const [place, other] of ['chill-jar-11', 'chill-jar-12', 'chill-jar-13'].entries()) {
    told.hear('sitting-opened', jar.sits('chest'), place * 120);
    told.hear('watch-opened', jar.opened(other), place * 120);
    told.hear('chill-will-miss', jar.misses(other), place * 120 + 10);
    told.hear('chill-missed', jar.missed(other), place * 120 + 60);
    told.hear(
      'watch-ended',
      { watch: other, reason: 'taken-out', met: false, crossedAtMs: null },
      place * 120 + 90,
    );
  }
  const runs = () => told.state.runs.chest?.misses;
  expect(runs()).toBe(3);
  told.hear('sitting-opened', jar.sits('chest'), 400);
  told.hear('watch-opened', jar.opened(watch), 400);
  told.hear('rescue-taken', taken, 410);
  told.hear('chill-missed', jar.missed(watch), 460);
  expect(runs()).toBe(3);
  told.hear('chill-made', jar.made(watch), 465);
  expect(runs()).toBe(3);
});
