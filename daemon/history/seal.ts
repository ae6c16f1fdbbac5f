/** Fresh readings become blocks: merged by instant with what is sealed there already, one block at a time. */
import type { Database } from '../sqlite/database.ts';
import type { BlockReadings } from './block-decoder.ts';
import { blockSpanMsMax } from './block-encoder.ts';
import { blockReadingsAfter, isShort } from './block-size.ts';
import { type BlockPlace, type Blocks, isDamage, type WholeBlock } from './blocks.ts';
import { absoluteEra, type Eras } from './era.ts';
import type { Fresh, SealedMark } from './fresh.ts';
import type { FreshLine } from './fresh-line.ts';
import type { Rollups } from './rollup-rows.ts';

export type Sealing = {
  /** How many readings of a series that were taken in an era the next block is to hold. */
  aimOf(series: number, era: number): number;
  /**
   * Seals fresh readings of a series and era numbered up to `batchSeq`, as many as go into one block, in one
   * transaction; a batch that was begun is finished first. Returns true where more of the batch is left.
   * Readings of an era whose UTC is not known go into blocks of their era.
   */
  step(series: number, era: number, batchSeq: number): boolean;
  /** Moves one waiting block of a series whose era is known by now to UTC; false where there is none. */
  adopt(series: number): boolean;
};

export type SealingOptions = {
  database: Database;
  fresh: Fresh;
  blocks: Blocks;
  rollups: Rollups;
  eras: Pick<Eras, 'offsetOf' | 'isKnown'>;
};

/** Opens the sealing on the write connection. */
export function openSealing({ database, fresh, blocks, rollups, eras }: SealingOptions): Sealing {
  const mark = database.prepare(
    `INSERT INTO sealed (series, era, sealedSeq, batchSeq, batchTMs) VALUES (?, ?, ?, ?, ?)
     ON CONFLICT (series, era) DO UPDATE
     SET sealedSeq = excluded.sealedSeq, batchSeq = excluded.batchSeq, batchTMs = excluded.batchTMs`,
  );
  const rowOf = database.prepare<{ firstSeq: number }>(
    'SELECT max(firstSeq) AS firstSeq FROM log WHERE firstSeq <= ?',
  );
  const freshFrom = database.prepare("UPDATE marks SET value = ? WHERE name = 'freshFromSeq'");

  const aimOf = (series: number, era: number) => blockReadingsAfter(blocks.lastPacked(series, era));

  /** Writes readings, merged with the block they belong to; all are before the block after it. */
  const put = (
    of: { series: number; era: number; topSeq: number },
    more: BlockReadings,
    before?: BlockPlace,
  ) => {
    let readings = more;
    let topSeq = of.topSeq;
    const held = before === undefined ? null : blocks.whole(before.block);
    // A damaged block stays as it is, for whoever may mend it.
    if (held !== null && !isDamage(held)) {
      blocks.remove(held.head.block);
      readings = merged(held.readings, more);
      topSeq = Math.max(topSeq, held.head.topSeq);
    }
    for (const part of partsOf(readings, aimOf(of.series, of.era))) blocks.insert({ ...of, topSeq }, part);
    if (of.era === absoluteEra) {
      rollups.recount(of.series, { fromMs: more.atMs[0] as number, toMs: (more.atMs.at(-1) as number) + 1 });
    }
  };
  /** Says which block readings from an instant on belong to, and before which instant they must end. */
  const targetOf = (series: number, era: number, atMs: number): { before?: BlockPlace; endMs: number } => {
    const found = blocks.at(series, era, atMs);
    const endMs = blocks.after(series, era, atMs)?.firstMs ?? Infinity;
    const belongs = found !== undefined && (found.lastMs >= atMs || isShort(found.count, aimOf(series, era)));
    return belongs ? { before: found, endMs } : { endMs };
  };
  const keepMark = (next: SealedMark, line: FreshLine): void => {
    mark.run(next.series, next.era, next.sealedSeq, next.batchSeq, next.batchTMs);
    const oldest = oldestSeq(fresh, line, next);
    freshFrom.run(oldest === null ? next.sealedSeq : (rowOf.first(oldest)?.firstSeq ?? 0));
  };
  return {
    aimOf: (series, era) => aimOf(series, eras.isKnown(era) ? absoluteEra : era),
    step: (series, era, batchSeq) => {
      const line = fresh.line(series, era);
      if (line === undefined) return false;
      const before = fresh.markOf(series, era);
      const upTo = before.batchSeq > before.sealedSeq ? before.batchSeq : batchSeq;
      const isKnown = eras.isKnown(era);
      const into = isKnown ? absoluteEra : era;
      const offsetMs = isKnown ? (eras.offsetOf(era) ?? 0) : 0;
      const next = database.transaction(() => {
        const places = placesUpTo(line, upTo);
        const firstMs = line.tMsAt(places[0] ?? 0) + offsetMs;
        const target = targetOf(series, into, firstMs);
        const taken = cut(places, line, { endTMs: target.endMs - offsetMs, aim: aimOf(series, into) });
        const topSeq = taken.reduce((top, place) => Math.max(top, line.seqAt(place)), 0);
        if (taken.length > 0) {
          put({ series, era: into, topSeq }, readingsOf(line, taken, offsetMs), target.before);
        }
        const isDone = taken.length === places.length;
        const lastTMs = taken.length === 0 ? 0 : line.tMsAt(taken.at(-1) as number);
        const kept: SealedMark = isDone
          ? { series, era, sealedSeq: upTo, batchSeq: 0, batchTMs: 0 }
          : { series, era, sealedSeq: before.sealedSeq, batchSeq: upTo, batchTMs: lastTMs + 1 };
        keepMark(kept, line);
        return kept;
      });
      fresh.seal(next);
      return next.batchSeq > 0;
    },
    adopt: (series) => {
      const waiting = blocks.heldEras(series).filter((era) => eras.isKnown(era));
      const found = firstSound(blocks, series, waiting);
      if (found === null) return false;
      const { head, readings } = found;
      database.transaction(() => {
        blocks.remove(head.block);
        let rest = shifted(readings, eras.offsetOf(head.era) ?? 0);
        while (rest.atMs.length > 0) {
          const target = targetOf(series, absoluteEra, rest.atMs[0] as number);
          const end = placeFrom(rest.atMs, target.endMs);
          put({ series, era: absoluteEra, topSeq: head.topSeq }, sliced(rest, 0, end), target.before);
          rest = sliced(rest, end, rest.atMs.length);
        }
      });
      return true;
    },
  };
}

/** The first block of these eras that can be read; a damaged one stays where it is, for whoever may mend it. */
function firstSound(blocks: Blocks, series: number, eras: readonly number[]): WholeBlock | null {
  for (const era of eras) {
    for (let place = blocks.after(series, era, -1); place !== undefined; ) {
      const found = blocks.whole(place.block);
      if (!isDamage(found)) return found;
      place = blocks.after(series, era, place.firstMs);
    }
  }
  return null;
}

/** The places of a line, in order, whose readings are numbered up to `seq`. */
function placesUpTo(line: FreshLine, seq: number): number[] {
  const places: number[] = [];
  for (let index = 0; index < line.count; index++) if (line.seqAt(index) <= seq) places.push(index);
  return places;
}

/** The first of these places that go into one block: before `endTMs`, and no cut within one instant. */
function cut(
  places: readonly number[],
  line: FreshLine,
  { endTMs, aim }: { endTMs: number; aim: number },
): number[] {
  let end = 0;
  while (end < places.length) {
    const tMs = line.tMsAt(places[end] as number);
    if (tMs >= endTMs) break;
    if (end >= aim && tMs !== line.tMsAt(places[end - 1] as number)) break;
    end += 1;
  }
  return places.slice(0, end);
}

function readingsOf(line: FreshLine, places: readonly number[], offsetMs: number): BlockReadings {
  const atMs = new Float64Array(places.length);
  const tempC = new Float64Array(places.length);
  const flags = new Uint8Array(places.length);
  places.forEach((place, index) => {
    atMs[index] = line.tMsAt(place) + offsetMs;
    tempC[index] = line.tempCAt(place);
    flags[index] = line.flagsAt(place);
  });
  return { atMs, tempC, flags };
}

/** Both in order of their instants; of one instant the held ones come first. */
function merged(held: BlockReadings, more: BlockReadings): BlockReadings {
  const count = held.atMs.length + more.atMs.length;
  const out = { atMs: new Float64Array(count), tempC: new Float64Array(count), flags: new Uint8Array(count) };
  let [a, b] = [0, 0];
  for (let index = 0; index < count; index++) {
    const isHeld =
      b === more.atMs.length ||
      (a < held.atMs.length && (held.atMs[a] as number) <= (more.atMs[b] as number));
    const from = isHeld ? held : more;
    const place = isHeld ? a++ : b++;
    out.atMs[index] = from.atMs[place] as number;
    out.tempC[index] = from.tempC[place] as number;
    out.flags[index] = from.flags[place] as number;
  }
  return out;
}

/** Cuts readings into blocks of about the size aimed at, none too long for its format, none within one instant. */
function partsOf(readings: BlockReadings, aim: number): BlockReadings[] {
  const { atMs } = readings;
  const count = atMs.length;
  const many = count <= aim * 1.25 ? 1 : Math.ceil(count / aim);
  const each = Math.ceil(count / many);
  const parts: BlockReadings[] = [];
  for (let from = 0; from < count; ) {
    let end = Math.min(count, from + each);
    end = Math.min(end, placeFrom(atMs, (atMs[from] as number) + blockSpanMsMax));
    while (end < count && atMs[end] === atMs[end - 1]) end += 1;
    parts.push(sliced(readings, from, end));
    from = end;
  }
  return parts;
}

function sliced({ atMs, tempC, flags }: BlockReadings, from: number, to: number): BlockReadings {
  return { atMs: atMs.slice(from, to), tempC: tempC.slice(from, to), flags: flags.slice(from, to) };
}

function shifted(readings: BlockReadings, offsetMs: number): BlockReadings {
  return { ...readings, atMs: readings.atMs.map((at) => at + offsetMs) };
}

/** Returns the first place whose instant is `atMs` or later. */
export function placeFrom(instants: Float64Array, atMs: number): number {
  let low = 0;
  let high = instants.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((instants[middle] as number) < atMs) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** The least number that is fresh once `line` is sealed by `next`; null where none is. */
function oldestSeq(fresh: Fresh, line: FreshLine, next: SealedMark): number | null {
  let oldest = Infinity;
  for (const each of fresh.lines()) if (each !== line) oldest = Math.min(oldest, each.leastSeq);
  for (let index = 0; index < line.count; index++) {
    const seq = line.seqAt(index);
    const isSealed = seq <= next.sealedSeq || (seq <= next.batchSeq && line.tMsAt(index) < next.batchTMs);
    if (!isSealed) oldest = Math.min(oldest, seq);
  }
  return oldest === Infinity ? null : oldest;
}
