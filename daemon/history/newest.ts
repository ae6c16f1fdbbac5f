/** The newest dated reading of a series, among what is fresh and what is in blocks. */
import { readingFlags } from '../../shared/contract/input.ts';
import type { Blocks } from './blocks.ts';
import { absoluteEra } from './era.ts';
import type { Fresh } from './fresh.ts';
import type { FreshLine } from './fresh-line.ts';

export type Newest = { atMs: number; tempC: number; flags: number };

export type NewestOptions = {
  fresh: Pick<Fresh, 'linesOf'>;
  blocks: Pick<Blocks, 'newest' | 'heldEras'>;
  /** An era's offset to UTC as far as it is known. */
  offsetOf: (era: number) => number | undefined;
};

/** Returns the question for a series' newest dated reading; undefined where it has none. */
export function openNewest({
  fresh,
  blocks,
  offsetOf,
}: NewestOptions): (series: number) => Newest | undefined {
  return (series) => {
    let newest: Newest | undefined;
    const take = (found: Newest | undefined, era: number): void => {
      if (found === undefined) return;
      const atMs = found.atMs + (offsetOf(era) ?? 0);
      if (newest === undefined || atMs >= newest.atMs) newest = { ...found, atMs };
    };
    for (const era of [absoluteEra, ...blocks.heldEras(series)]) take(blocks.newest(series, era), era);
    for (const line of fresh.linesOf(series)) take(newestOf(line), line.era);
    return newest;
  };
}

function newestOf(line: FreshLine): Newest | undefined {
  for (let index = line.count - 1; index >= 0; index--) {
    const flags = line.flagsAt(index);
    if ((flags & readingFlags.undated) !== 0) continue;
    return { atMs: line.tMsAt(index), tempC: line.tempCAt(index), flags };
  }
  return undefined;
}
