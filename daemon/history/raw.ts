/** Every reading of a series, slice by slice, from blocks and from what is fresh, merged by instant. */
import { absoluteEra } from './era.ts';
import { holdBlocks } from './held-blocks.ts';
import type { ReadSide } from './read-side.ts';
import { placeFrom } from './seal.ts';

/** A question for every reading of a probe, epoch ms, `toMs` not included. */
export type RawQuery = { probe: string; fromMs: number; toMs: number };

/**
 * One reading as kept: UTC as far as it is known, °C as read, `readingFlags`. Its number and its receipt are
 * kept until it is sealed, and null from then on.
 */
export type RawReading = {
  atMs: number;
  tempC: number;
  flags: number;
  inputSeq: number | null;
  receivedMs: number | null;
};

/** A slice of readings and where the next one begins; null where this was the last. */
export type RawSlice = { readings: RawReading[]; nextMs: number | null };

/** About how many readings are in one slice; those of one instant stay together. */
export const rawSliceMax = 2000;

/** Blocks held unpacked between slices. */
const heldMax = 4;

/**
 * Returns the question for the readings of a series from an instant on, by instant, those of one instant by
 * number where they have one. Damaged blocks are left out. An era whose offset is learned between two slices
 * may move past where the next begins.
 */
export function openRaw(
  side: ReadSide,
): (series: number, range: { fromMs: number; toMs: number }) => RawSlice {
  const held = holdBlocks(side.blocks, heldMax);

  const fromBlocks = (series: number, era: number, range: { fromMs: number; toMs: number }): RawReading[] => {
    const offsetMs = side.offsetOf(era);
    const found: RawReading[] = [];
    const [fromMs, toMs] = [range.fromMs - offsetMs, range.toMs - offsetMs];
    let place = side.blocks.at(series, era, fromMs) ?? side.blocks.after(series, era, fromMs);
    for (
      ;
      place !== undefined && place.firstMs < toMs;
      place = side.blocks.after(series, era, place.firstMs)
    ) {
      if (place.lastMs < fromMs) continue;
      const readings = held.readings(place.block);
      if (readings === null) continue;
      const { atMs, tempC, flags } = readings;
      for (let index = placeFrom(atMs, fromMs); index < atMs.length; index++) {
        const at = atMs[index] as number;
        if (at >= toMs || isFull(found, at + offsetMs)) return found;
        found.push({
          atMs: at + offsetMs,
          tempC: tempC[index] as number,
          flags: flags[index] as number,
          inputSeq: null,
          receivedMs: null,
        });
      }
    }
    return found;
  };
  const fromFresh = (series: number, range: { fromMs: number; toMs: number }): RawReading[][] =>
    side.fresh.linesOf(series).map((line) => {
      const offsetMs = side.offsetOf(line.era);
      const found: RawReading[] = [];
      for (let index = line.placeOf(range.fromMs - offsetMs); index < line.count; index++) {
        const atMs = line.tMsAt(index) + offsetMs;
        if (atMs >= range.toMs || isFull(found, atMs)) break;
        found.push({
          atMs,
          tempC: line.tempCAt(index),
          flags: line.flagsAt(index),
          inputSeq: line.seqAt(index),
          receivedMs: line.receivedMsAt(index),
        });
      }
      return found;
    });
  return (series, range) => {
    const eras = [absoluteEra, ...side.blocks.heldEras(series)];
    const sealed = eras.flatMap((era) => fromBlocks(series, era, range));
    const all = [...sealed, ...fromFresh(series, range).flat()].sort(byInstant);
    let end = Math.min(all.length, rawSliceMax);
    while (end < all.length && all[end]?.atMs === all[end - 1]?.atMs) end += 1;
    const readings = end === all.length ? all : all.slice(0, end);
    const last = readings.at(-1);
    const isLast = all.length < rawSliceMax || last === undefined;
    return { readings, nextMs: isLast ? null : last.atMs + 1 };
  };
}

/** True where a slice has its share and the next reading is of another instant. */
function isFull(found: readonly RawReading[], atMs: number): boolean {
  return found.length >= rawSliceMax && found.at(-1)?.atMs !== atMs;
}

function byInstant(a: RawReading, b: RawReading): number {
  return a.atMs - b.atMs || (a.inputSeq ?? 0) - (b.inputSeq ?? 0);
}
