/** Least, most, mean and count of many spans of a curve: from days, hours, minutes and, at ragged edges, readings. */
import { readingFlags } from '../../shared/contract/input.ts';
import { type BlockPlace, type Damage, isDamage } from './blocks.ts';
import { absoluteEra } from './era.ts';
import type { FreshLine } from './fresh-line.ts';
import { type MinuteCursor, minuteMs, nextMinute, openMinutes } from './minutes.ts';
import type { ReadSide } from './read-side.ts';
import { type RollupLevel, rollupMs, type Sums } from './rollup-rows.ts';
import { placeFrom } from './seal.ts';
import type { Spans } from './spans.ts';

/** What was counted of each span, columns by span; `count` 0 where a span has no dated reading. */
export type Envelope = {
  minC: Float64Array;
  maxC: Float64Array;
  sumC: Float64Array;
  count: Float64Array;
  /** Blocks whose readings are missing in it. */
  damaged: Damage[];
};

/** The coarsest level that may answer; `reading` counts every reading. */
export type EnvelopeLevel = RollupLevel | 'minute' | 'reading';

/** A stretch of one span, answered on one level. */
type Piece = { span: number; fromMs: number; toMs: number };

const finer: Record<Exclude<EnvelopeLevel, 'reading'>, EnvelopeLevel> = {
  day: 'hour',
  hour: 'minute',
  minute: 'reading',
};
const lengthMs = { ...rollupMs, minute: minuteMs };

/** Counts the spans of a series, exactly between their edges; within `side.ask`. */
export function countEnvelope(
  side: ReadSide,
  series: number,
  { spans, coarsest = 'day' }: { spans: Spans; coarsest?: EnvelopeLevel },
): Envelope {
  const envelope = emptyEnvelope(spans.count);
  const pieces: Record<EnvelopeLevel, Piece[]> = { day: [], hour: [], minute: [], reading: [] };
  for (let span = 0; span < spans.count; span++) {
    divide(pieces, coarsest, { span, fromMs: spans.at(span), toMs: spans.at(span + 1) });
  }
  countRollups(side, series, 'day', { pieces: pieces.day, envelope });
  countRollups(side, series, 'hour', { pieces: pieces.hour, envelope });
  countMinutes(side, series, pieces.minute, envelope);
  countReadings(side, series, pieces.reading, envelope);
  for (const era of side.blocks.heldEras(series)) countHeld(side, { series, era, spans }, envelope);
  for (const line of side.fresh.linesOf(series)) countFresh(line, side.offsetOf(line.era), spans, envelope);
  return envelope;
}

function emptyEnvelope(many: number): Envelope {
  return {
    minC: new Float64Array(many).fill(Infinity),
    maxC: new Float64Array(many).fill(-Infinity),
    sumC: new Float64Array(many),
    count: new Float64Array(many),
    damaged: [],
  };
}

/** Divides a stretch into what whole units of a level cover, and the finer rests at its ends, in order. */
function divide(pieces: Record<EnvelopeLevel, Piece[]>, level: EnvelopeLevel, piece: Piece): void {
  const { span, fromMs, toMs } = piece;
  if (fromMs >= toMs) return;
  if (level === 'reading') {
    pieces.reading.push(piece);
    return;
  }
  const unitMs = lengthMs[level];
  const wholeFromMs = Math.ceil(fromMs / unitMs) * unitMs;
  const wholeToMs = Math.floor(toMs / unitMs) * unitMs;
  if (wholeFromMs >= wholeToMs) {
    divide(pieces, finer[level], piece);
    return;
  }
  divide(pieces, finer[level], { span, fromMs, toMs: wholeFromMs });
  pieces[level].push({ span, fromMs: wholeFromMs, toMs: wholeToMs });
  divide(pieces, finer[level], { span, fromMs: wholeToMs, toMs });
}

function add(envelope: Envelope, span: number, { minC, maxC, sumC, count }: Sums): void {
  if (minC < (envelope.minC[span] as number)) envelope.minC[span] = minC;
  if (maxC > (envelope.maxC[span] as number)) envelope.maxC[span] = maxC;
  envelope.sumC[span] = (envelope.sumC[span] as number) + sumC;
  envelope.count[span] = (envelope.count[span] as number) + count;
}

function countRollups(
  { rollups }: ReadSide,
  series: number,
  level: RollupLevel,
  { pieces, envelope }: { pieces: readonly Piece[]; envelope: Envelope },
): void {
  const at = rollups.ask(series, level);
  for (const { span, fromMs, toMs } of pieces) {
    for (let unitMs = fromMs; unitMs < toMs; unitMs += rollupMs[level]) {
      const sums = at(unitMs);
      if (sums !== undefined) add(envelope, span, sums);
    }
  }
}

/** From so many pieces on, the places of all blocks between them are asked for at once. */
const piecesForAll = 32;

/** The places of blocks, asked for in the order of time. */
type Places = {
  /** The first block that may hold readings from an instant on. */
  from(tMs: number): BlockPlace | undefined;
  /** The one after the one given last. */
  next(): BlockPlace | undefined;
};

function placesOf({ blocks }: ReadSide, series: number, pieces: readonly Piece[]): Places {
  const [fromMs, toMs] = [pieces[0]?.fromMs ?? 0, pieces.at(-1)?.toMs ?? 0];
  if (pieces.length >= piecesForAll) {
    const all = blocks.within(series, absoluteEra, { fromMs, toMs });
    let index = 0;
    return {
      from: (tMs) => {
        while (index < all.length && (all[index] as BlockPlace).lastMs < tMs) index += 1;
        return all[index];
      },
      next: () => all[++index],
    };
  }
  let place: BlockPlace | undefined;
  return {
    from: (tMs) => {
      const found = blocks.at(series, absoluteEra, tMs);
      const isThere = found !== undefined && found.lastMs >= tMs;
      place = isThere ? found : blocks.after(series, absoluteEra, tMs);
      return place;
    },
    next: () => {
      place = blocks.after(series, absoluteEra, place?.firstMs ?? toMs);
      return place;
    },
  };
}

/** Goes from block to block as pieces follow each other; `open` unpacks one and may find it damaged. */
function walkBlocks<T extends object>(
  places: Places,
  {
    pieces,
    open,
    count,
  }: {
    pieces: readonly Piece[];
    open: (place: BlockPlace) => T | Damage;
    count: (opened: T, piece: Piece) => void;
  },
  damaged: Damage[],
): void {
  let place: BlockPlace | undefined;
  let opened: T | Damage | undefined;
  const go = (to: BlockPlace | undefined): void => {
    place = to;
    opened = undefined;
  };
  for (const piece of pieces) {
    if (place === undefined || place.lastMs < piece.fromMs) go(places.from(piece.fromMs));
    while (place !== undefined && place.firstMs < piece.toMs) {
      if (opened === undefined) {
        opened = open(place);
        if (isDamage(opened)) damaged.push(opened);
      }
      if (!isDamage(opened)) count(opened, piece);
      if (place.lastMs >= piece.toMs) break;
      go(places.next());
    }
  }
}

function countMinutes(side: ReadSide, series: number, pieces: readonly Piece[], envelope: Envelope): void {
  walkBlocks<MinuteCursor>(
    placesOf(side, series, pieces),
    {
      pieces,
      open: ({ block }) => {
        const head = side.blocks.head(block);
        return isDamage(head) ? head : openMinutes(head.minutes);
      },
      count: (cursor, { span, fromMs, toMs }) => {
        const [from, to] = [fromMs / minuteMs, toMs / minuteMs];
        while (cursor.minute < from) nextMinute(cursor);
        for (; cursor.minute < to; nextMinute(cursor)) {
          const { least, most, sum, count, scale } = cursor;
          add(envelope, span, { minC: least / scale, maxC: most / scale, sumC: sum / scale, count });
        }
      },
    },
    envelope.damaged,
  );
}

type Columns = { atMs: Float64Array; tempC: Float64Array; flags: Uint8Array };

function countReadings(side: ReadSide, series: number, pieces: readonly Piece[], envelope: Envelope): void {
  walkBlocks<Columns>(
    placesOf(side, series, pieces),
    {
      pieces,
      open: ({ block }) => side.blocks.readings(block),
      count: (readings, piece) => countColumns(readings, piece, envelope),
    },
    envelope.damaged,
  );
}

/** The hot loop: every reading of a stretch. */
function countColumns({ atMs, tempC, flags }: Columns, piece: Piece, envelope: Envelope): void {
  const { span, fromMs, toMs } = piece;
  let minC = Infinity;
  let maxC = -Infinity;
  let sumC = 0;
  let count = 0;
  for (let index = placeFrom(atMs, fromMs); index < atMs.length; index++) {
    if ((atMs[index] as number) >= toMs) break;
    if (((flags[index] as number) & readingFlags.undated) !== 0) continue;
    const value = tempC[index] as number;
    if (value < minC) minC = value;
    if (value > maxC) maxC = value;
    sumC += value;
    count += 1;
  }
  if (count > 0) add(envelope, span, { minC, maxC, sumC, count });
}

/** Readings that wait for their UTC are counted one by one where it is guessed to be. */
function countHeld(
  side: ReadSide,
  { series, era, spans }: { series: number; era: number; spans: Spans },
  envelope: Envelope,
): void {
  const offsetMs = side.offsetOf(era);
  const range = { fromMs: spans.at(0) - offsetMs, toMs: spans.at(spans.count) - offsetMs };
  for (const { block } of side.blocks.within(series, era, range)) {
    const readings = side.blocks.readings(block);
    if (isDamage(readings)) {
      envelope.damaged.push(readings);
      continue;
    }
    const count = readings.atMs.length;
    countInOrder(spans, envelope, {
      place: placeFrom(readings.atMs, range.fromMs),
      count,
      atMs: (place) => (readings.atMs[place] as number) + offsetMs,
      tempC: (place) => readings.tempC[place] as number,
      flags: (place) => readings.flags[place] as number,
    });
  }
}

function countFresh(line: FreshLine, offsetMs: number, spans: Spans, envelope: Envelope): void {
  countInOrder(spans, envelope, {
    place: line.placeOf(spans.at(0) - offsetMs),
    count: line.count,
    atMs: (place) => line.tMsAt(place) + offsetMs,
    tempC: line.tempCAt,
    flags: line.flagsAt,
  });
}

type InOrder = {
  place: number;
  count: number;
  atMs: (place: number) => number;
  tempC: (place: number) => number;
  flags: (place: number) => number;
};

function countInOrder(spans: Spans, envelope: Envelope, readings: InOrder): void {
  const endMs = spans.at(spans.count);
  let span = -1;
  let spanEndMs = Number.NEGATIVE_INFINITY;
  for (let place = readings.place; place < readings.count; place++) {
    const atMs = readings.atMs(place);
    if (atMs >= endMs) return;
    if ((readings.flags(place) & readingFlags.undated) !== 0) continue;
    if (atMs >= spanEndMs) {
      span = spans.indexAt(atMs);
      spanEndMs = spans.at(span + 1);
    }
    const value = readings.tempC(place);
    add(envelope, span, { minC: value, maxC: value, sumC: value, count: 1 });
  }
}
