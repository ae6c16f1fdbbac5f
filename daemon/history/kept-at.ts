/** What is kept of a series at an absolute instant: the check that nothing is kept twice. */
import { readingFlags } from '../../shared/contract/input.ts';
import type { Blocks } from './blocks.ts';
import { absoluteEra } from './era.ts';
import type { Fresh } from './fresh.ts';
import { holdBlocks } from './held-blocks.ts';
import { placeFrom } from './seal.ts';

export type KeptAt = {
  /** Returns the value (°C as read) that is kept at an absolute instant; undefined where there is none. */
  at(series: number, atMs: number): number | undefined;
  /** Says that blocks of any series have changed. */
  forget(): void;
};

/** Blocks held unpacked: a probe that sends a night again asks one after the other. */
const heldMax = 8;

/**
 * Opens the check. Readings newer than all sealed ones are looked for in memory; older ones in the block
 * that covers their instant. A damaged block answers nothing: what it held may be kept again.
 */
export function openKeptAt(fresh: Fresh, blocks: Blocks): KeptAt {
  const held = holdBlocks(blocks, heldMax);
  const sealedToMs = new Map<number, number>();
  const newestSealed = (series: number): number => {
    let toMs = sealedToMs.get(series);
    if (toMs === undefined) {
      toMs = blocks.at(series, absoluteEra, Number.MAX_SAFE_INTEGER)?.lastMs ?? Number.NEGATIVE_INFINITY;
      sealedToMs.set(series, toMs);
    }
    return toMs;
  };
  return {
    at: (series, atMs) => {
      const line = fresh.line(series, absoluteEra);
      // Most are newer than all before them.
      if (line !== undefined && line.count > 0 && atMs <= line.tMsAt(line.count - 1)) {
        const place = line.placeOf(atMs);
        if (place < line.count && line.tMsAt(place) === atMs) return line.tempCAt(place);
      }
      if (atMs > newestSealed(series)) return undefined;
      const block = blocks.at(series, absoluteEra, atMs);
      const readings = block === undefined || block.lastMs < atMs ? null : held.readings(block.block);
      if (readings === null) return undefined;
      for (let place = placeFrom(readings.atMs, atMs); readings.atMs[place] === atMs; place++) {
        // Receipts of the same millisecond are readings of their own.
        if (((readings.flags[place] as number) & readingFlags.receipt) === 0) return readings.tempC[place];
      }
      return undefined;
    },
    forget: () => {
      held.forget();
      sealedToMs.clear();
    },
  };
}
