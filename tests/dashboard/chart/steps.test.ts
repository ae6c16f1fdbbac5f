import { describe, expect, it } from 'vitest';
import { cellSpanMs, multiplesBetween, tempSteps, timeStepMs } from '../../../dashboard/src/chart/steps.ts';

const minuteMs = 60_000;

describe('the steps of the axes', () => {
  it('gives two or three round figures above the target, in either unit', () => {
    expect(tempSteps(40, 97.6, 5)).toEqual([60, 80, 100]);
    expect(tempSteps(40 / 9, 36.4, 3)).toEqual([20, 40]);
    expect(tempSteps(40, 58, 2)).toEqual([50, 60]);
  });

  it('leaves out a figure that would touch the target’s', () => {
    expect(tempSteps(39.5, 41.9, 0.6)).toEqual([41, 42]);
  });

  it('always gives one figure, also where all is under the target', () => {
    expect(tempSteps(40, 40.5, 9)).toEqual([41]);
  });

  it('keeps times apart by the given pixels', () => {
    expect(timeStepMs(130 * minuteMs, { widthPx: 780, clearPx: 72 })).toBe(15 * minuteMs);
    expect(timeStepMs(130 * minuteMs, { widthPx: 310, clearPx: 54 })).toBe(30 * minuteMs);
    expect(timeStepMs(30 * 24 * 60 * minuteMs, { widthPx: 310, clearPx: 54 })).toBe(1440 * minuteMs);
  });

  it('cuts the border in cells of one, five or thirty minutes', () => {
    expect(cellSpanMs(30 * minuteMs, 780)).toBe(minuteMs);
    expect(cellSpanMs(130 * minuteMs, 780)).toBe(5 * minuteMs);
    expect(cellSpanMs(12 * 60 * minuteMs, 310)).toBe(30 * minuteMs);
  });

  it('counts round times from the given midnight', () => {
    expect(multiplesBetween({ fromMs: 103, toMs: 131 }, { stepMs: 10, zeroMs: 5 })).toEqual([105, 115, 125]);
  });
});
