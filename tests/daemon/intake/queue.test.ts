import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { openQueue, type Waiting } from '../../../daemon/intake/queue.ts';

const offer = { left: 1, canResend: true, settle: () => {}, fail: () => {} };
const waiting = (probe: string, atMs: number): Waiting => ({
  reading: { probe, atMs, tempC: 4, undated: false },
  receivedMs: atMs,
  steadyMs: atMs,
  offer,
});
const names = (taken: Waiting[]) => taken.map(({ reading }) => `${reading.probe}${reading.atMs}`);

describe('the queue of the intake', () => {
  it('takes in turn among the probes, in order within each', () => {
    const queue = openQueue();
    for (const atMs of [1, 2, 3, 4]) queue.push(waiting('a', atMs));
    queue.push(waiting('b', 9));
    expect(names(queue.take(3))).toEqual(['a1', 'b9', 'a2']);
    expect(names(queue.take(9))).toEqual(['a3', 'a4']);
    expect(queue.size).toBe(0);
  });

  it('serves every probe in each group, however one of them floods', () => {
    const queue = openQueue();
    for (let atMs = 0; atMs < 50_000; atMs++) queue.push(waiting('flood', atMs));
    for (let probe = 0; probe < 100; probe++) queue.push(waiting(`p${probe}`, 1));
    const first = new Set(queue.take(200).map(({ reading }) => reading.probe));
    expect(first.size).toBe(101);
  });

  it('puts back what could not be committed before all that came later', () => {
    const queue = openQueue();
    queue.push(waiting('a', 1));
    queue.push(waiting('a', 2));
    const taken = queue.take(2);
    queue.push(waiting('a', 3));
    queue.putBack(taken);
    expect(names(queue.take(9))).toEqual(['a1', 'a2', 'a3']);
  });

  it('tells the oldest receipt that waits', () => {
    const queue = openQueue();
    expect(queue.oldestMs()).toBe(null);
    queue.push(waiting('b', 7));
    queue.push(waiting('a', 5));
    expect(queue.oldestMs()).toBe(5);
  });

  it('loses, doubles and reorders nothing within a probe, whatever is pushed and taken', () => {
    const moves = fc.array(
      fc.oneof(
        fc.record({ push: fc.constantFrom('a', 'b', 'c') }),
        fc.record({ take: fc.integer({ min: 0, max: 5 }), back: fc.boolean() }),
      ),
      { maxLength: 200 },
    );
    fc.assert(
      fc.property(moves, (steps) => {
        const queue = openQueue();
        const out: Waiting[] = [];
        let next = 0;
        for (const step of steps) {
          if ('push' in step) queue.push(waiting(step.push, next++));
          else {
            const taken = queue.take(step.take);
            if (step.back) queue.putBack(taken);
            else out.push(...taken);
          }
        }
        out.push(...queue.take(1_000));
        expect(queue.size).toBe(0);
        expect(out.map(({ reading }) => reading.atMs as number).sort((a, b) => a - b)).toEqual(
          Array.from({ length: next }, (_, index) => index),
        );
        for (const probe of ['a', 'b', 'c']) {
          const own = out
            .filter(({ reading }) => reading.probe === probe)
            .map(({ receivedMs }) => receivedMs);
          expect(own).toEqual([...own].sort((a, b) => a - b));
        }
      }),
      { seed: 4, numRuns: 300 },
    );
  });
});
