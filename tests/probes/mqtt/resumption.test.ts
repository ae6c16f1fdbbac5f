import { expect, test } from 'vitest';
import {
  createResumption,
  resumingLeastMs,
  resumingMostMs,
  resumingPauseMs,
} from '../../../probes/mqtt/resumption.ts';

/** Feeds messages at these instants to a source that is at once ready for the next, and says which may be old. */
function follow(sessionPresent: boolean, instants: number[]): boolean[] {
  const resumption = createResumption(sessionPresent, 0);
  return instants.map((nowMs) => {
    const isResuming = resumption.isResuming(nowMs);
    resumption.ready(nowMs);
    return isResuming;
  });
}
const steady = (fromMs: number, toMs: number, everyMs: number) =>
  Array.from({ length: Math.ceil((toMs - fromMs) / everyMs) }, (_, i) => fromMs + i * everyMs);

test('has none in a fresh session', () => {
  expect(follow(false, [0, 10, 5000])).toEqual([false, false, false]);
});

test('holds for its least span whatever the pauses', () => {
  expect(follow(true, [0, 1000, resumingLeastMs - 1, resumingLeastMs])).toEqual([true, true, true, false]);
});

test('goes on while what was kept comes without a pause, and ends for good at the first', () => {
  const backlog = steady(0, 10_000, 100);
  const last = backlog.at(-1) ?? 0;
  const live = [last + resumingPauseMs, last + resumingPauseMs + 1];
  expect(follow(true, [...backlog, ...live])).toEqual([...backlog.map(() => true), false, false]);
});

test('ends at its most where a house is never quiet', () => {
  const seen = follow(true, steady(0, resumingMostMs + 1000, 100));
  expect(seen.indexOf(false)).toBe(resumingMostMs / 100);
});

test('does not take the source’s own slowness for a pause', () => {
  const resumption = createResumption(true, 0);
  expect(resumption.isResuming(10)).toBe(true);
  resumption.ready(4000);
  expect(resumption.isResuming(4001)).toBe(true);
  resumption.ready(4001);
  expect(resumption.isResuming(4001 + resumingPauseMs)).toBe(false);
});
