/** Round steps for the two axes. Pure. */

import { formatClock } from '../../../shared/units/format.ts';
import type { Scene } from './scene.ts';

const tempStepSizes = [1, 2, 5, 10, 20, 50];

/** On both sides of the target a step of four serves as well: 36, 44 and 48 round 40. */
const besideStepSizes = [1, 2, 4, 5, 10, 20, 50];

/** The most figures above the target: three or four with the target's own. */
const stepsMax = 3;

/**
 * Returns round figures above `target`, rising, of which the last is at or over `highest`; at most three,
 * none nearer to the target than `clear` (in the same units).
 */
export function tempSteps(target: number, highest: number, clear: number): number[] {
  const size = tempStepSizes.find((candidate) => countSteps(target, highest, candidate) <= stepsMax) ?? 100;
  const last = Math.max(Math.ceil(highest / size), Math.floor(target / size) + 1) * size;
  const steps: number[] = [];
  for (let step = (Math.floor(target / size) + 1) * size; step <= last; step += size) steps.push(step);
  return steps.filter((step, index) => step - target >= clear || index === steps.length - 1);
}

function countSteps(target: number, highest: number, size: number): number {
  return Math.ceil(highest / size) - Math.floor(target / size);
}

/** Returns at most three round figures between `low` and `high`, rising, none nearer to the target than `clear`. */
export function tempStepsBeside(
  target: number,
  { high, low }: { low: number; high: number },
  clear: number,
): number[] {
  const within = (size: number) => {
    const steps: number[] = [];
    for (let step = Math.ceil(low / size) * size; step <= high; step += size) steps.push(step);
    return steps.filter((step) => Math.abs(step - target) >= clear);
  };
  const size = besideStepSizes.find((candidate) => within(candidate).length <= stepsMax) ?? 100;
  return within(size);
}

const minuteMs = 60_000;
const timeStepMinutes = [5, 15, 30, 60, 120, 180, 360, 720];

/** Returns the smallest round step, in ms, that keeps marks at least `clearPx` apart. */
export function timeStepMs(
  spanMs: number,
  { widthPx, clearPx }: { widthPx: number; clearPx: number },
): number {
  const fits = (minutes: number) => ((minutes * minuteMs) / spanMs) * widthPx >= clearPx;
  return (timeStepMinutes.find(fits) ?? 1440) * minuteMs;
}

/** The spans a cell may have, minutes, and the width from which each is used, px: minutes need room to be counted. */
const cells = [
  { minutes: 1, fromPx: 16 },
  { minutes: 5, fromPx: 9 },
  { minutes: 30, fromPx: 9 },
  { minutes: 120, fromPx: 9 },
];

/** Returns the span of one cell of the chequered border, in ms: the smallest that is wide enough to be seen. */
export function cellSpanMs(spanMs: number, widthPx: number): number {
  const cell = cells.find(({ fromPx, minutes }) => ((minutes * minuteMs) / spanMs) * widthPx >= fromPx);
  return (cell?.minutes ?? 720) * minuteMs;
}

/** Returns the multiples of `stepMs` between two instants, counted from `zeroMs` (an instant of local midnight). */
export function multiplesBetween(
  { fromMs, toMs }: { fromMs: number; toMs: number },
  { stepMs, zeroMs }: { stepMs: number; zeroMs: number },
): number[] {
  const first = Math.ceil((fromMs - zeroMs) / stepMs) * stepMs + zeroMs;
  const marks: number[] = [];
  for (let atMs = first; atMs <= toMs; atMs += stepMs) marks.push(atMs);
  return marks;
}

/** An instant from which round clock steps count: the last local midnight before the chart. */
export function zeroOf({ fromMs, times }: Pick<Scene, 'fromMs' | 'times'>): number {
  if (times.kind === 'since') return times.fromMs;
  const [hours = 0, minutes = 0] = formatClock(fromMs, times.zone).split(':').map(Number);
  return Math.floor(fromMs / 60_000) * 60_000 - (hours * 60 + minutes) * 60_000;
}
