import { describe, expect, it, vi } from 'vitest';
import {
  type Arrival,
  gatherMs,
  gatherSpanMs,
  newsAfterMs,
  type Standing,
} from '../../../daemon/intake/cadence.ts';
import { openCommitting } from '../../../daemon/intake/committing.ts';
import { openQueue } from '../../../daemon/intake/queue.ts';

const usual: Arrival = {
  isAwaited: false,
  ageMs: 100,
  lineLength: 0,
  waiting: 7,
  answeredAgoMs: 400,
  unheardMs: 1_000,
};
const spanOf = (standing: Standing, rest: Partial<Arrival> = {}) =>
  gatherSpanMs({ ...usual, ...rest }, () => standing);

describe('the cadence of commits', () => {
  it('gathers for seconds where nobody waits, and less than one where a probe waits for its answer', () => {
    expect((['calm', 'open', 'turn'] as const).map((standing) => spanOf(standing))).toEqual([
      gatherMs.kept,
      gatherMs.kept,
      gatherMs.soon,
    ]);
    expect(
      (['calm', 'open', 'turn'] as const).map((standing) => spanOf(standing, { isAwaited: true })),
    ).toEqual([gatherMs.acknowledged, gatherMs.soon, gatherMs.soon]);
    expect(gatherMs.acknowledged).toBeLessThan(1_000);
  });

  it('holds up no sender that lets few readings stand unanswered', () => {
    const awaited = { isAwaited: true };
    expect(spanOf('calm', { ...awaited, lineLength: 1 })).toBe(gatherMs.soon);
    expect(spanOf('calm', { ...awaited, ageMs: 5_000 })).toBe(gatherMs.soon);
    expect(spanOf('calm', { ...awaited, answeredAgoMs: 4 })).toBe(gatherMs.soon);
    // Who waits for no answer is not held up by a missing one.
    expect(spanOf('calm', { lineLength: 4, ageMs: 5_000, answeredAgoMs: 4 })).toBe(gatherMs.kept);
  });

  it('commits at once what was not heard of for long or was long on its way, and lets no line grow', () => {
    expect(spanOf('calm', { unheardMs: newsAfterMs })).toBe(gatherMs.soon);
    expect(spanOf('calm', { unheardMs: Number.POSITIVE_INFINITY })).toBe(gatherMs.soon);
    expect(spanOf('calm', { ageMs: 60_000 })).toBe(gatherMs.soon);
    expect(spanOf('calm', { lineLength: 60 })).toBe(gatherMs.soon);
    expect(spanOf('calm', { waiting: 500 })).toBe(gatherMs.soon);
  });
});

describe('the committing', () => {
  function rig() {
    vi.useFakeTimers();
    const queue = openQueue();
    const groups: [number, number][] = [];
    const failures = { next: 0 };
    const startMs = performance.now();
    const committing = openCommitting(
      queue,
      async (group) => {
        if (failures.next-- > 0) {
          queue.putBack(group);
          throw new Error('the disk is full');
        }
        groups.push([Math.round(performance.now() - startMs), group.length]);
      },
      100,
    );
    const push = (spanMs: number) => {
      const reading = { probe: 'jar', tempC: 4, atMs: null, undated: false };
      const offer = { left: 1, canResend: false, settle: () => {}, fail: () => {} };
      queue.push({ reading, steadyMs: 0, offer });
      committing.wake(spanMs);
    };
    return { committing, groups, push, failures };
  }

  it('waits as long as the most patient of what waits, and no longer than the least', async () => {
    const { groups, push } = rig();
    push(5_000);
    await vi.advanceTimersByTimeAsync(3_000);
    push(5_000);
    await vi.advanceTimersByTimeAsync(2_100);
    push(5_000);
    push(1);
    await vi.advanceTimersByTimeAsync(10);
    expect(groups).toEqual([
      [5_000, 2],
      [5_101, 2],
    ]);
    vi.useRealTimers();
  });

  it('commits what waits before a word, at the end, and after a failure when that is due', async () => {
    const { committing, groups, push, failures } = rig();
    push(5_000);
    committing.hurry();
    await vi.advanceTimersByTimeAsync(0);
    failures.next = 1;
    push(1);
    await vi.advanceTimersByTimeAsync(50);
    push(1);
    committing.hurry();
    await vi.advanceTimersByTimeAsync(52);
    push(5_000);
    await committing.finish();
    expect(groups).toEqual([
      [0, 1],
      [101, 2],
      [102, 1],
    ]);
    vi.useRealTimers();
  });
});
