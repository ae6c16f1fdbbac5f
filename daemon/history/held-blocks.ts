/** Blocks that were unpacked lately: who asks one reading after the other asks the same few. */
import type { BlockReadings } from './block-decoder.ts';
import { type Blocks, isDamage } from './blocks.ts';

export type HeldBlocks = {
  /** Returns a block's readings; null where it is damaged. */
  readings(block: number): BlockReadings | null;
  /** Says that blocks have changed. */
  forget(): void;
};

/** Holds up to `heldMax` blocks unpacked, and lets the one go that was unpacked first. */
export function holdBlocks(blocks: Pick<Blocks, 'readings'>, heldMax: number): HeldBlocks {
  const held = new Map<number, BlockReadings | null>();
  return {
    readings: (block) => {
      const found = held.get(block);
      if (found !== undefined) return found;
      const readings = blocks.readings(block);
      const made = isDamage(readings) ? null : readings;
      const oldest = held.keys().next().value;
      if (held.size >= heldMax && oldest !== undefined) held.delete(oldest);
      held.set(block, made);
      return made;
    },
    forget: () => held.clear(),
  };
}
