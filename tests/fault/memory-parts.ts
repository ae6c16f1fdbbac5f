/** What was noted of a daemon's memory, thread by thread, in a quarter of its life. */
import { readFileSync } from 'node:fs';
import type { MemoryNote } from './memory-note.ts';

/** Medians, MB; a heap is what lies in it after a collection, so its least of ten looks in turn counts. */
export type MemoryParts = {
  rssMb: number;
  /** JavaScript heaps by thread: 0 is the main one, then the writer, then the reader. */
  heapMb: Record<number, number>;
  /** What the heaps have taken from the system, all threads together. */
  heapTotalMb: number;
  /** Typed arrays and buffers, all threads together. */
  buffersMb: number;
};

/** Reads the notes and returns the medians of the second quarter and of the last. */
export function memoryOver(file: string): { warm: MemoryParts; end: MemoryParts } {
  const notes = readFileSync(file, 'utf8')
    .split('\n')
    .filter((line) => line.endsWith('}'))
    .map((line) => JSON.parse(line) as MemoryNote);
  const byThread = new Map<number, MemoryNote[]>();
  for (const note of notes) byThread.set(note.thread, [...(byThread.get(note.thread) ?? []), note]);
  const part = (from: number, to: number) =>
    partsOf(
      new Map([...byThread].map(([thread, all]) => [thread, all.slice(all.length * from, all.length * to)])),
    );
  return { warm: part(0.25, 0.5), end: part(0.75, 1) };
}

function partsOf(byThread: ReadonlyMap<number, readonly MemoryNote[]>): MemoryParts {
  const sumOf = (of: (note: MemoryNote) => number) =>
    mb([...byThread.values()].reduce((sum, notes) => sum + median(notes.map(of)), 0));
  return {
    rssMb: mb(median((byThread.get(0) ?? []).map(({ rss }) => rss))),
    heapMb: Object.fromEntries(
      [...byThread].map(([thread, notes]) => [
        thread,
        mb(median(leasts(notes.map(({ heapUsed }) => heapUsed)))),
      ]),
    ),
    heapTotalMb: sumOf(({ heapTotal }) => heapTotal),
    buffersMb: sumOf(({ arrayBuffers }) => arrayBuffers),
  };
}

/** The least of each ten in turn; of fewer the least. */
function leasts(values: readonly number[]): number[] {
  const found: number[] = [];
  for (let index = 0; index < values.length; index += 10) {
    found.push(Math.min(...values.slice(index, index + 10)));
  }
  return found;
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? Number.NaN;
}

function mb(bytes: number): number {
  return Number((bytes / 1024 / 1024).toFixed(1));
}
