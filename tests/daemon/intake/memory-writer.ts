/** The intake's writer in memory, with switches for its faults. */
import type { IntakeItem, IntakeWriter, Verdict } from '../../../daemon/intake/intake-writer.ts';

export type MemoryWriter = IntakeWriter & {
  /** Commits that were tried, each with its items' probes. */
  commits: string[][];
  /** The next so many commits of readings fail. */
  failNext: number;
  /** The next so many commits of a turn of the clock fail. */
  failClock: number;
  /** While set, commits wait for `release`. */
  hold: boolean;
  release(): void;
  /** Instants of each probe that are kept already, with their value. */
  kept: Map<string, number>;
};

export function openMemoryWriter(): MemoryWriter {
  let seq = 0;
  let waiting: (() => void)[] = [];
  let order: Promise<unknown> = Promise.resolve();
  /** Answers come in the order of the calls, as from the thread. */
  const inOrder = <T>(make: () => T): Promise<T> => {
    const answer = order.then(async () => {
      if (writer.hold) await new Promise<void>((resolve) => waiting.push(resolve));
      return make();
    });
    order = answer.catch(() => {});
    return answer;
  };
  const writer: MemoryWriter = {
    commits: [],
    failNext: 0,
    failClock: 0,
    hold: false,
    kept: new Map(),
    release: () => {
      writer.hold = false;
      for (const go of waiting.splice(0)) go();
      waiting = [];
    },
    commitReadings: (items) =>
      inOrder(() => {
        writer.commits.push(items.map(({ probe }) => probe));
        if (writer.failNext > 0) {
          writer.failNext -= 1;
          throw new Error('the disk is full');
        }
        return items.map((item) => keep(item));
      }),
    commitWord: () => inOrder(() => ({ inputSeq: ++seq, already: false })),
    commitClock: () =>
      inOrder(() => {
        if (writer.failClock > 0) {
          writer.failClock -= 1;
          throw new Error('the disk is full');
        }
        return { inputSeq: ++seq };
      }),
    commitStart: () => inOrder(() => ({ inputSeq: ++seq })),
  };
  function keep({ probe, tempC, flags, stamp }: IntakeItem): Verdict {
    if (!('atMs' in stamp)) return { is: 'stored', inputSeq: ++seq, atMs: stamp.steadyMs, flags };
    const key = `${probe} ${stamp.atMs}`;
    const kept = writer.kept.get(key);
    if (kept === tempC) return { is: 'repeat' };
    if (kept !== undefined) return { is: 'conflict', keptC: kept };
    writer.kept.set(key, tempC);
    return { is: 'stored', inputSeq: ++seq, atMs: stamp.atMs, flags };
  }
  return writer;
}
