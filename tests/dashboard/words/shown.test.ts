import { describe, expect, it } from 'vitest';
import {
  countsFromText,
  intervalText,
  placeText,
  postTexts,
  rateText,
  wantedTexts,
  watchedDegrees,
} from '../../../dashboard/src/words/shown.ts';

const speech = { language: 'en', units: 'F', zone: 'UTC', names: {} } as const;
const limitC = 40 / 9;
const minuteMs = 60_000;
const window = {
  limitC,
  spanMs: 60 * minuteMs,
  originMs: 0,
  origin: 'milking',
  deadlineMs: 60 * minuteMs,
} as const;

describe('what the page shows in figures', () => {
  it('shows tenths where the probe is that sure, whole degrees where it is not', () => {
    expect(watchedDegrees(27.8, { limitC, marginC: 0.28, units: 'F' })).toBe('82.0');
    expect(watchedDegrees(27.8, { limitC, marginC: 0.5, units: 'F' })).toBe('82');
  });

  it('never shows the limit before it is met', () => {
    expect(watchedDegrees(limitC + 0.001, { limitC, marginC: 0.5, units: 'F' })).toBe('40.1');
    expect(watchedDegrees(limitC, { limitC, marginC: 0.5, units: 'F' })).toBe('40.0');
  });

  it('says how fast it changes, and nothing where that is not known', () => {
    expect(rateText(-0.39, 'F')).toBe('falling 0.7\u00a0°F a minute');
    expect(rateText(0.2, 'C')).toBe('rising 0.2\u00a0°C a minute');
    expect(rateText(-0.01, 'F')).toBe('steady');
    expect(rateText(null, 'F')).toBeNull();
  });

  it('says an interval, an open one, and none', () => {
    expect(intervalText({ p10: 0, p50: minuteMs, p90: 2 * minuteMs }, speech)).toBe('0:00–0:02');
    expect(intervalText({ p10: minuteMs, p50: null, p90: null }, speech)).toBe('after 0:01');
    expect(intervalText({ p10: null, p50: null, p90: null }, speech)).toBeNull();
  });

  it('shortens what is wanted and what stands at the post', () => {
    expect(wantedTexts(limitC, speech)).toEqual([
      'wanted: 40\u00a0°F and under',
      '40\u00a0°F and under',
      '40 and under',
    ]);
    expect(postTexts(window, speech)).toEqual(['1:00 the hour is up', '1:00 hour up', '1:00']);
    expect(postTexts({ ...window, spanMs: 90 * minuteMs }, speech)[0]).toBe('1:00 the time is up');
  });

  it('puts a place in a sentence, and leaves names of people and capitals as typed', () => {
    const place = (name: string) => placeText({ id: 'p', name, kind: 'freezer' });
    expect(place('Chest freezer')).toBe('in the chest freezer');
    expect(place('Plum’s fridge')).toBe('in Plum’s fridge');
    expect(place('AEG left')).toBe('in AEG left');
    expect(placeText(null)).toBeNull();
  });

  it('says from what the hour counts', () => {
    expect(countsFromText(window, speech)).toBe('The hour counts from 0:00, the end of milking.');
    expect(countsFromText({ ...window, origin: 'insertion', spanMs: 90 * minuteMs }, speech)).toBe(
      'The time counts from 0:00, when the milk went in.',
    );
  });
});
