import fc from 'fast-check';
import { expect, test } from 'vitest';
import { createUnackedQueue } from '../../../probes/mqtt/unacknowledged.ts';

test('gives ids out in the order of receipt, however the commits fall', () => {
  const order = fc.integer({ min: 1, max: 40 }).chain((count) =>
    fc.shuffledSubarray(
      Array.from({ length: count }, (_, i) => i),
      { minLength: count },
    ),
  );
  fc.assert(
    fc.property(order, (commits) => {
      const queue = createUnackedQueue({ countMax: 100, bytesMax: 1000 });
      const messages = commits.map((_, i) => queue.add(i, 1));
      const given: number[] = [];
      const done = new Set<number>();
      for (const index of commits) {
        const message = messages[index];
        if (message !== undefined) message.isCommitted = true;
        done.add(index);
        given.push(...queue.takeCommitted());
        // Never one whose commit, or whose forerunner's, is still under way.
        for (let i = 0; i < given.length; i++) expect(done.has(i)).toBe(true);
      }
      expect(given).toEqual(commits.map((_, i) => i));
      expect(queue.isEmpty()).toBe(true);
    }),
    { seed: 13, numRuns: 200 },
  );
});

test('is full by count or by bytes, and has room again after commits', () => {
  const queue = createUnackedQueue({ countMax: 2, bytesMax: 10 });
  const first = queue.add(1, 1);
  expect(queue.isFull()).toBe(false);
  queue.add(null, 1);
  expect(queue.isFull()).toBe(true);
  first.isCommitted = true;
  expect(queue.takeCommitted()).toEqual([1]);
  expect(queue.isFull()).toBe(false);
  queue.add(3, 9).isCommitted = true;
  expect(queue.isFull()).toBe(true);
});

test('has no id to give for a message that nobody waits for', () => {
  const queue = createUnackedQueue({ countMax: 10, bytesMax: 10 });
  queue.add(null, 1).isCommitted = true;
  queue.add(7, 1).isCommitted = true;
  expect(queue.takeCommitted()).toEqual([7]);
});
