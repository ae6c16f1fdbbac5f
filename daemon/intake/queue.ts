import type { WireReading } from '../../probes/source.ts';

/** The offer that a waiting reading came in; it is settled when none of its readings waits any more. */
export type OpenOffer = {
  left: number;
  canResend: boolean;
  settle: () => void;
  fail: (error: Error) => void;
};

/**
 * A reading that waits for its commit, with when it was received on the steady clock: the other one may be
 * set while it waits.
 */
export type Waiting = { reading: WireReading; steadyMs: number; offer: OpenOffer };

/**
 * Waiting readings, a line for each probe. Taken in turn, one of each line at a time, so that a probe that
 * floods makes only its own line longer.
 */
export type Queue = {
  readonly size: number;
  /** Readings that wait in this probe's line. */
  lengthOf(probe: string): number;
  push(waiting: Waiting): void;
  /** Puts back what could not be committed, before all that came later. */
  putBack(taken: readonly Waiting[]): void;
  /** Takes up to `most` readings, in turn among the probes, in order within each. */
  take(most: number): Waiting[];
  /** When the oldest waiting reading was received, on the steady clock; null where none waits. */
  oldestSteadyMs(): number | null;
};

export function openQueue(): Queue {
  const lines = new Map<string, Line>();
  let size = 0;
  const lineOf = (probe: string): Line => {
    let line = lines.get(probe);
    if (line === undefined) {
      line = { items: [], head: 0 };
      lines.set(probe, line);
    }
    return line;
  };
  return {
    get size() {
      return size;
    },
    lengthOf: (probe) => {
      const line = lines.get(probe);
      return line === undefined ? 0 : line.items.length - line.head;
    },
    push: (waiting) => {
      lineOf(waiting.reading.probe).items.push(waiting);
      size += 1;
    },
    putBack: (taken) => {
      for (const waiting of taken.toReversed()) {
        const line = lineOf(waiting.reading.probe);
        line.items = [waiting, ...line.items.slice(line.head)];
        line.head = 0;
        size += 1;
      }
    },
    take: (most) => {
      const taken: Waiting[] = [];
      while (taken.length < most && lines.size > 0) {
        for (const [probe, line] of lines) {
          taken.push(line.items[line.head] as Waiting);
          line.head += 1;
          if (line.head === line.items.length) lines.delete(probe);
          else if (line.head > compactAt) compact(line);
          if (taken.length === most) break;
        }
      }
      size -= taken.length;
      return taken;
    },
    oldestSteadyMs: () => {
      let oldest: number | null = null;
      for (const line of lines.values()) {
        const { steadyMs } = line.items[line.head] as Waiting;
        if (oldest === null || steadyMs < oldest) oldest = steadyMs;
      }
      return oldest;
    },
  };
}

type Line = { items: Waiting[]; head: number };

/** Readings taken from a line before their room is given back. */
const compactAt = 1_024;

function compact(line: Line): void {
  line.items = line.items.slice(line.head);
  line.head = 0;
}
