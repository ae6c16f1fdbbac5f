/** What a mirror sends next: what has no number any more, then what waited for the clock, then what follows its cursor. */
import { readingFlags } from '../../shared/contract/input.ts';
import { advance, type MirrorCursor } from './mirror-cursor.ts';
import type { MirrorReading, MirrorSource, MirrorStretch } from './mirror-readings.ts';

/** How far something was done: up to a number, or all but these stretches. */
export type Reach = { from: 'held' | 'cursor'; toSeq: number } | { from: 'past'; stretches: MirrorStretch[] };

export type NextSlice = {
  /** In the order in which they are to be sent. */
  readings: MirrorReading[];
  /** True where more may be waiting behind it. */
  isFull: boolean;
  /** How far the mirror is when the first `done` readings are sent, null for all of them. */
  reachedBy(done: number | null): Reach;
};

/**
 * Receipt-stamped readings numbered from `holdFromSeq` on wait, since the clock of this run is not yet known
 * and their instants may still move; null where nothing has to wait. Undated readings have no instant to be
 * kept at and are not mirrored.
 */
export type SliceAsk = {
  cursor: MirrorCursor;
  holdFromSeq: number | null;
  /** The number of the newest kept input: where no more readings come, everything up to it was looked at. */
  newestSeq: number;
  source: MirrorSource;
  limit: number;
};

/** Returns the next slice, empty where nothing waits. */
export function nextSlice(ask: SliceAsk): Promise<NextSlice> {
  const { cursor, holdFromSeq } = ask;
  const { held } = cursor;
  if (cursor.past.length > 0) return pastSlice(ask);
  const isFree = held !== null && (holdFromSeq === null || held.toSeq < holdFromSeq);
  return isFree ? heldSlice(ask, held) : freshSlice(ask);
}

async function pastSlice({ cursor, source }: SliceAsk): Promise<NextSlice> {
  const [stretch, ...rest] = cursor.past as [MirrorStretch, ...MirrorStretch[]];
  const { readings, nextMs } = await source.readingsOf(stretch);
  const dated = readings.filter(isDated);
  const left = (fromMs: number) => [{ ...stretch, fromMs }, ...rest];
  return {
    readings: dated,
    isFull: true,
    reachedBy: (done) => {
      const next = done === null ? undefined : dated[done];
      if (next !== undefined) return { from: 'past', stretches: left(next.atMs) };
      const isOver = nextMs === null || nextMs >= stretch.toMs;
      return { from: 'past', stretches: isOver ? rest : left(nextMs) };
    },
  };
}

async function heldSlice(
  { source, limit }: SliceAsk,
  held: { fromSeq: number; toSeq: number },
): Promise<NextSlice> {
  const found = await source.readingsAfter(held.fromSeq, limit);
  const within = found.filter(({ inputSeq }) => inputSeq <= held.toSeq);
  const toSeq = within.length === limit ? (within.at(-1)?.inputSeq ?? held.toSeq) : held.toSeq;
  const readings = within.filter(isDated).filter(isReceipt);
  return { readings, isFull: true, reachedBy: reachOf('held', { readings, toSeq }) };
}

async function freshSlice({ cursor, holdFromSeq, newestSeq, source, limit }: SliceAsk): Promise<NextSlice> {
  const found = await source.readingsAfter(cursor.inputSeq, limit);
  const mustWait = (reading: MirrorReading) =>
    holdFromSeq !== null && isReceipt(reading) && reading.inputSeq >= holdFromSeq;
  const wasSent = ({ probe, inputSeq }: MirrorReading) => inputSeq <= (cursor.sealedSeqs[probe] ?? 0);
  const isFull = found.length === limit;
  const lastSeq = found.at(-1)?.inputSeq ?? cursor.inputSeq;
  const toSeq = isFull ? lastSeq : Math.max(lastSeq, newestSeq);
  const readings = found.filter((each) => isDated(each) && !mustWait(each) && !wasSent(each));
  return { readings, isFull, reachedBy: reachOf('cursor', { readings, toSeq }) };
}

function reachOf(
  from: 'held' | 'cursor',
  { readings, toSeq }: { readings: readonly MirrorReading[]; toSeq: number },
): NextSlice['reachedBy'] {
  return (done) => {
    const next = done === null ? undefined : readings[done];
    return { from, toSeq: next === undefined ? toSeq : next.inputSeq - 1 };
  };
}

/** The cursor after something was sent, or left to wait, as far as it was reached; itself where nothing changed. */
export function cursorAfter(
  cursor: MirrorCursor,
  reach: Reach,
  { holdFromSeq, atMs, keepMs }: { holdFromSeq: number | null; atMs: number; keepMs: number },
): MirrorCursor {
  const { held } = cursor;
  if (reach.from === 'past') return { ...cursor, past: reach.stretches };
  const { toSeq } = reach;
  if (reach.from === 'held') {
    const isDone = held === null || toSeq >= held.toSeq;
    return { ...cursor, held: isDone ? null : { fromSeq: toSeq, toSeq: held.toSeq } };
  }
  if (toSeq === cursor.inputSeq) return cursor;
  const moved = advance(cursor, { inputSeq: toSeq, atMs, keepMs });
  if (holdFromSeq === null || toSeq < holdFromSeq) return moved;
  const fromSeq = held?.fromSeq ?? Math.max(cursor.inputSeq, holdFromSeq - 1);
  return { ...moved, held: { fromSeq, toSeq } };
}

function isDated({ flags }: MirrorReading): boolean {
  return (flags & readingFlags.undated) === 0;
}

function isReceipt({ flags }: MirrorReading): boolean {
  return (flags & readingFlags.receipt) !== 0;
}
