/** A mirror's server in memory, with switches for its faults. */
import type { MirrorPoint, MirrorServer, WriteOutcome } from '../../../daemon/mirror/mirror-server.ts';

export type MemoryServer = MirrorServer & {
  /** Everything that was taken, in order. */
  taken: MirrorPoint[];
  /** How many points each request had. */
  requests: number[];
  /** Decides what becomes of a batch; takes all unless set. */
  rule: (points: readonly MirrorPoint[]) => WriteOutcome;
};

export function memoryServer(): MemoryServer {
  const server: MemoryServer = {
    taken: [],
    requests: [],
    rule: () => ({ is: 'taken' }),
    write: async (points) => {
      server.requests.push(points.length);
      const outcome = server.rule(points);
      if (outcome.is === 'taken') server.taken.push(...points);
      return outcome;
    },
    close: () => {},
  };
  return server;
}
