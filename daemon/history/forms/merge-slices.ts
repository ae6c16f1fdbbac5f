/** Readings of several probes, each in order of its instants, as one stream in that order. */

/** What can be ordered: the instant, then the order in which the probes were given. */
type Stamped = { atMs: number };

/** Readings in one slice of the merged stream, at most. */
const mergedSliceMax = 2_000;

type Head<T> = { slice: readonly T[]; next: number; rest: AsyncIterator<readonly T[]> };

/** Merges streams of slices; holds one slice of each. Stopping early ends every stream. */
export async function* mergeSlices<T extends Stamped>(
  streams: readonly AsyncIterable<readonly T[]>[],
): AsyncGenerator<T[], void, void> {
  const iterators = streams.map((stream) => stream[Symbol.asyncIterator]());
  try {
    const heads: Head<T>[] = [];
    for (const rest of iterators) {
      const head: Head<T> = { slice: [], next: 0, rest };
      if (await refill(head)) heads.push(head);
    }
    let merged: T[] = [];
    while (heads.length > 0) {
      const index = earliest(heads);
      const head = heads[index] as Head<T>;
      merged.push(head.slice[head.next++] as T);
      if (head.next === head.slice.length && !(await refill(head))) heads.splice(index, 1);
      if (merged.length === mergedSliceMax) {
        yield merged;
        merged = [];
      }
    }
    if (merged.length > 0) yield merged;
  } finally {
    for (const rest of iterators) await rest.return?.();
  }
}

async function refill<T>(head: Head<T>): Promise<boolean> {
  for (;;) {
    const { done, value } = await head.rest.next();
    if (done === true) return false;
    if (value.length === 0) continue;
    head.slice = value;
    head.next = 0;
    return true;
  }
}

/** A house has few probes in one export, and looking at each beats keeping them in a heap. */
function earliest<T extends Stamped>(heads: readonly Head<T>[]): number {
  let best = 0;
  let bestMs = Infinity;
  for (const [index, { slice, next }] of heads.entries()) {
    const atMs = (slice[next] as T).atMs;
    if (atMs < bestMs) {
      best = index;
      bestMs = atMs;
    }
  }
  return best;
}
