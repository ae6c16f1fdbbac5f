/** What a mirror sends next: readings that waited for the clock first, then those after its cursor. */
import { readingFlags } from '../../shared/contract/input.ts';
import { advance, type MirrorCursor } from './mirror-cursor.ts';
import type { MirrorReading, ReadingsAfter } from './mirror-readings.ts';

/** Readings to send in order of their numbers, and whether they are those that waited. */
export type NextSlice = {
  from: 'held' | 'cursor';
  readings: MirrorReading[];
  /** The last number that the slice looked at, sent or not. */
  toSeq: number;
  /** True where more may be waiting behind it. */
  isFull: boolean;
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
  readingsAfter: ReadingsAfter;
  limit: number;
};

/** Returns the next slice, empty where nothing waits. */
export async function nextSlice(ask: SliceAsk): Promise<NextSlice> {
  const { cursor, holdFromSeq, newestSeq, readingsAfter, limit } = ask;
  const { held } = cursor;
  if (held !== null && (holdFromSeq === null || held.toSeq < holdFromSeq)) {
    const found = await readingsAfter(held.fromSeq, limit);
    const within = found.filter(({ inputSeq }) => inputSeq <= held.toSeq);
    const isFull = within.length === limit;
    const toSeq = isFull ? (within.at(-1)?.inputSeq ?? held.toSeq) : held.toSeq;
    return { from: 'held', readings: within.filter(isDated).filter(isReceipt), toSeq, isFull: true };
  }
  const found = await readingsAfter(cursor.inputSeq, limit);
  const mustWait = (reading: MirrorReading) =>
    holdFromSeq !== null && isReceipt(reading) && reading.inputSeq >= holdFromSeq;
  const isFull = found.length === limit;
  const lastSeq = found.at(-1)?.inputSeq ?? cursor.inputSeq;
  return {
    from: 'cursor',
    readings: found.filter(isDated).filter((reading) => !mustWait(reading)),
    toSeq: isFull ? lastSeq : Math.max(lastSeq, newestSeq),
    isFull,
  };
}

/** The cursor after a slice was sent, or left to wait, up to number `toSeq`; itself where nothing changed. */
export function cursorAfter(
  cursor: MirrorCursor,
  reached: { from: NextSlice['from']; toSeq: number; setAside: number },
  { holdFromSeq, atMs, keepMs }: { holdFromSeq: number | null; atMs: number; keepMs: number },
): MirrorCursor {
  const { held } = cursor;
  const { toSeq } = reached;
  const setAside = cursor.setAside + reached.setAside;
  if (reached.from === 'held') {
    const isDone = held === null || toSeq >= held.toSeq;
    return { ...cursor, setAside, held: isDone ? null : { fromSeq: toSeq, toSeq: held.toSeq } };
  }
  if (toSeq === cursor.inputSeq) return cursor;
  const moved = { ...advance(cursor, { inputSeq: toSeq, atMs, keepMs }), setAside };
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
