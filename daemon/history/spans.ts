/** Equal spans over a range of instants, in whole milliseconds. */

export type Spans = {
  /** How many there are; never more than the range has milliseconds. */
  count: number;
  /** Returns where span `index` begins, epoch ms, which is where the one before it ends; 0 to `count`. */
  at(index: number): number;
  /** Returns the span that holds an instant of the range. */
  indexAt(atMs: number): number;
};

/** Divides `fromMs` up to but not at `toMs` into `points` spans whose lengths differ by 1 ms at most. */
export function spansOf({ fromMs, toMs, points }: { fromMs: number; toMs: number; points: number }): Spans {
  const wholeMs = toMs - fromMs;
  const count = Math.min(points, wholeMs);
  // Whole part and rest apart, so that every product stays exact below 2^53.
  const eachMs = Math.floor(wholeMs / count);
  const restMs = wholeMs - eachMs * count;
  const at = (index: number) => fromMs + index * eachMs + Math.ceil((index * restMs) / count);
  const indexAt = (atMs: number) => {
    let index = Math.floor(((atMs - fromMs) / wholeMs) * count);
    while (at(index) > atMs) index -= 1;
    while (at(index + 1) <= atMs) index += 1;
    return index;
  };
  return { count, at, indexAt };
}
