/** How many readings a block is to hold, so that its row fills the pages of the file. */

/** Readings of a block whose probe has none yet: four hours of one that speaks each second. */
export const blockReadingsUsual = 14_400;
/** What a question for one hour can decode, and what sealing can do between two commits. */
const readingsMost = 21_600;
const readingsLeast = 3_600;

/**
 * Packed bytes at which a row of 4 KB pages leaves little room unused: one page; one page and a quarter of
 * another (SQLite's file format, 1.6: what is over a page goes to pages of its own, and the rest of it stays
 * in a leaf among others); two pages; three. A little less, since no block packs as the one before.
 */
const packedBytes = [3_880, 4_800, 7_950, 12_040] as const;

/** What a block's readings and minutes took. */
export type PackedBlock = { count: number; bytes: number };

/** Readings to aim at after a block of the same series; the usual number where there was none. */
export function blockReadingsAfter(last: PackedBlock | undefined): number {
  if (last === undefined || last.count < readingsLeast / 2) return blockReadingsUsual;
  const each = last.bytes / last.count;
  const wanted = packedBytes.map((bytes) => Math.round(bytes / each));
  const near = wanted.reduce((a, b) =>
    Math.abs(b - blockReadingsUsual) < Math.abs(a - blockReadingsUsual) ? b : a,
  );
  return Math.min(readingsMost, Math.max(readingsLeast, near));
}

/** Whether a block has so few readings that what follows it belongs to it. */
export function isShort(count: number, aim: number): boolean {
  return count < aim * 0.6;
}
