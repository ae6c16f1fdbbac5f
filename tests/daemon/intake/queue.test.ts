import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { openQueue, type Waiting } from '../../../daemon/intake/queue.ts';

const offer = { left: 1, canResend: true, settle: () => {}, fail: () => {} };
const waiting = (probe: string, atMs: number): Waiting => ({
  reading: { probe, atMs, tempC: 4, undated: false },
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
    expect(queue.oldestSteadyMs()).toBe(null);
    queue.push(waiting('b', 7));
    queue.push(waiting('a', 5));
    expect(queue.oldestSteadyMs()).toBe(5);
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
          const own = out.filter(({ reading }) => reading.probe === probe).map(({ steadyMs }) => steadyMs);
          expect(own).toEqual([...own].sort((a, b) => a - b));
        }
      }),
      { seed: 4, numRuns: 300 },
    );
  });

  it('takes what a naive queue takes, whatever is pushed, taken and put back', () => {
    const moves = fc.array(
      fc.oneof(
        fc.record({ push: fc.constantFrom('a', 'b', 'c', 'd') }),
        fc.record({ take: fc.integer({ min: 0, max: 6 }), back: fc.boolean() }),
      ),
      { maxLength: 150 },
    );
    fc.assert(
      fc.property(moves, (steps) => {
        const [queue, naive] = [openQueue(), openNaiveQueue()];
        let next = 0;
        for (const step of steps) {
          if ('push' in step) {
            const one = waiting(step.push, next++);
            queue.push(one);
            naive.push(one);
          } else {
            const taken = queue.take(step.take);
            expect(names(taken)).toEqual(names(naive.take(step.take)));
            if (step.back) {
              queue.putBack(taken);
              naive.putBack(taken);
            }
          }
          expect(queue.size).toBe(naive.waits.length);
          expect(queue.oldestSteadyMs()).toBe(
            naive.waits.length === 0 ? null : Math.min(...naive.waits.map(({ steadyMs }) => steadyMs)),
          );
          for (const probe of ['a', 'b', 'c', 'd']) {
            expect(queue.lengthOf(probe)).toBe(
              naive.waits.filter(({ reading }) => reading.probe === probe).length,
            );
          }
        }
      }),
      { seed: 9, numRuns: 200 },
    );
  });
});

/** The same by one flat list: probes have their turn in the order in which their lines began. */
function openNaiveQueue() {
  const naive = {
    waits: [] as Waiting[],
    turns: [] as string[],
    push: (one: Waiting) => {
      naive.waits.push(one);
      if (!naive.turns.includes(one.reading.probe)) naive.turns.push(one.reading.probe);
    },
    putBack: (taken: Waiting[]) => {
      naive.waits = [...taken, ...naive.waits];
      for (const { reading } of taken.toReversed()) {
        if (!naive.turns.includes(reading.probe)) naive.turns.push(reading.probe);
      }
    },
    take: (most: number) => {
      const taken: Waiting[] = [];
      while (taken.length < most && naive.waits.length > 0) {
        for (const probe of [...naive.turns]) {
          const index = naive.waits.findIndex(({ reading }) => reading.probe === probe);
          taken.push(...naive.waits.splice(index, 1));
          if (!naive.waits.some(({ reading }) => reading.probe === probe)) {
            naive.turns = naive.turns.filter((turn) => turn !== probe);
          }
          if (taken.length === most) break;
        }
      }
      return taken;
    },
  };
  return naive;
}
