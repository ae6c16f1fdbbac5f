import { expect, test } from 'vitest';
import type { ChillOutlook, ChillQuestion } from '../../../daemon/forecast/chill-forecast.ts';
import { openWarning, warningRule, weighWarning } from '../../../daemon/forecast/warning.ts';

const minute = 60_000;
const question: ChillQuestion = {
  limitC: 4.44,
  marginC: 0,
  deadlineMs: 60 * minute,
  sinceMs: 0,
  told: { place: null, aroundC: null, volumeL: null, material: null },
};

function outlookOf(chance: number): ChillOutlook {
  const never = { p10: null, p50: null, p90: null };
  return {
    dataToMs: 0,
    chance,
    crossing: never,
    atDeadline: null,
    path: [],
    assumed: { place: null, aroundC: null, volumeL: null, from: 'inferred' },
    freezing: never,
    freezesC: -0.53,
    rateCPerMin: null,
  };
}

/** Weighs one chance a minute and returns the minutes at which it warned, and the verdicts. */
function weighAll(chances: readonly number[]) {
  let state = openWarning();
  const warned: number[] = [];
  const verdicts = chances.map((chance, place) => {
    const weighed = weighWarning(state, outlookOf(chance), question, (place + 1) * minute);
    state = weighed.state;
    if (weighed.warn) warned.push(place + 1);
    return weighed.verdict;
  });
  return { warned, verdicts };
}

test('warns once where the chance stays low, and not before its first minute', () => {
  const { warned, verdicts } = weighAll(new Array(30).fill(0.002));
  expect(warned).toEqual([Math.ceil(warningRule.notBeforeMs / minute)]);
  expect(verdicts[29]).toBe('not-on-course');
});

test('takes longer where the chance is low but not so low', () => {
  expect(weighAll(new Array(30).fill(0.05)).warned).toEqual([8]);
  expect(weighAll(new Array(30).fill(0.08)).warned).toEqual([]);
});

test('does not warn of one low chance among good ones', () => {
  expect(weighAll([0.9, 0.9, 0.9, 0.9, 0.9, 0.9, 0.9, 0.9, 0.9, 0.01, 0.9, 0.9]).warned).toEqual([]);
});

test('keeps a verdict while the chance wavers about its edge', () => {
  const edge = warningRule.onCourseFrom;
  expect(weighAll([edge + 0.01, edge - 0.05, edge + 0.02, edge - 0.1, 0.45]).verdicts).toEqual([
    'on-course',
    'on-course',
    'on-course',
    'on-course',
    'unsure',
  ]);
});
