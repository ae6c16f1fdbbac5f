import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { createRetry } from '../../probes/retry.ts';

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
});

test('doubles its waits up to the longest, and begins anew when reset', () => {
  const retry = createRetry({ firstMs: 10, longestMs: 35 });
  const waits = [1, 2, 3, 4].map(() => retry.later(() => {}));
  retry.reset();
  expect([...waits, retry.later(() => {})]).toEqual([10, 20, 35, 35, 10]);
});

test('runs the try after its wait, only the newest, and none after the stop', () => {
  const retry = createRetry({ firstMs: 10, longestMs: 10 });
  const tries: string[] = [];
  retry.later(() => tries.push('replaced'));
  retry.later(() => tries.push('run'));
  vi.advanceTimersByTime(9);
  expect(tries).toEqual([]);
  vi.advanceTimersByTime(1);
  expect(tries).toEqual(['run']);
  retry.later(() => tries.push('stopped'));
  retry.stop();
  retry.later(() => tries.push('after the stop'));
  vi.advanceTimersByTime(100);
  expect(tries).toEqual(['run']);
});
