import { describe, expect, it } from 'vitest';
import { calendarMarks, openWall } from '../../../dashboard/src/history/calendar-marks.ts';

const words = (from: string, to: string, zone = 'UTC') =>
  calendarMarks({ fromMs: Date.parse(from), toMs: Date.parse(to), zone, widthPx: 800, clearPx: 76 }).map(
    (mark) => mark.words,
  );

describe('marks of a time axis', () => {
  it.each([
    [
      '2026-04-18T07:00:00Z',
      '2026-04-18T07:00:12Z',
      ['7:00:00', '7:00:02', '7:00:04', '7:00:06', '7:00:08', '7:00:10', '7:00:12'],
    ],
    [
      '2026-04-18T07:00:00Z',
      '2026-04-18T08:00:00Z',
      ['7:00', '7:10', '7:20', '7:30', '7:40', '7:50', '8:00'],
    ],
    [
      '2026-04-17T19:00:00Z',
      '2026-04-18T10:00:00Z',
      ['20:00', '22:00', '18 Apr', '2:00', '4:00', '6:00', '8:00', '10:00'],
    ],
    [
      '2026-04-18T00:00:00Z',
      '2026-04-24T00:00:00Z',
      ['18 Apr', '19 Apr', '20 Apr', '21 Apr', '22 Apr', '23 Apr', '24 Apr'],
    ],
    ['2025-11-03T00:00:00Z', '2026-06-10T00:00:00Z', ['Dec', '2026', 'Feb', 'Mar', 'Apr', 'May', 'Jun']],
    [
      '2015-02-03T00:00:00Z',
      '2024-02-03T00:00:00Z',
      ['2016', '2017', '2018', '2019', '2020', '2021', '2022', '2023', '2024'],
    ],
  ])('from %s to %s stand at round steps of the calendar', (from, to, expected) => {
    expect(words(from, to)).toEqual(expected);
  });

  it('stand at local midnights on both sides of a change of the clock', () => {
    // America/Denver, IANA tz: summer time began on 8 March 2026 at 02:00.
    const marks = calendarMarks({
      fromMs: Date.parse('2026-03-06T07:00:00Z'),
      toMs: Date.parse('2026-03-11T06:00:00Z'),
      zone: 'America/Denver',
      widthPx: 800,
      clearPx: 100,
    });
    expect(marks.map(({ atMs }) => new Date(atMs).toISOString().slice(5, 16))).toEqual([
      '03-06T07:00',
      '03-07T07:00',
      '03-08T07:00',
      '03-09T06:00',
      '03-10T06:00',
      '03-11T06:00',
    ]);
  });

  it('come back from the wall clock to the instant, in every hour of two years', () => {
    const wall = openWall('Europe/Vienna');
    for (let atMs = Date.UTC(2026, 0, 1); atMs < Date.UTC(2028, 0, 1); atMs += 7 * 3_600_000) {
      expect(wall.ms(wall.instant(wall.ms(atMs)))).toBe(wall.ms(atMs));
    }
  });
});
