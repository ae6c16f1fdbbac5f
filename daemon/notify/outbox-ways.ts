/** The ways' table of the outbox in `house.db`: each way's own place in the letters, and how its tries went. */
import type { Database } from '../sqlite/database.ts';

/** How a way stands: its place in the outbox, what its last tries came to, when it last proved itself. */
export type WayState = {
  way: string;
  /** Every letter of this way up to here is settled. */
  cursor: number;
  tries: number;
  nextTryMs: number;
  failingSinceMs: number | null;
  fault: string | null;
  provedAtMs: number | null;
};

/** What a try to send a letter came to. */
export type Settlement = { way: string; letterSeq: number; nowMs: number } & (
  | { is: 'sent' }
  /** The way failed: it is tried again at `nextTryMs`; with `takeOver` other ways bring its letters, too. */
  | { is: 'failed'; why: string; nextTryMs: number; takeOver: boolean }
  /** This letter will never leave by this way; the next of its receiver's ways brings it. */
  | { is: 'refused'; why: string }
);

const untouched = { cursor: 0, tries: 0, nextTryMs: 0, failingSinceMs: null, fault: null, provedAtMs: null };

/** The ways of a house file that has their table; a way never heard of stands at the outbox's beginning. */
export function openWays(database: Database) {
  const find = database.prepare<WayState>(
    'SELECT way, cursor, tries, nextTryMs, failingSinceMs, fault, provedAtMs FROM ways WHERE way = ?',
  );
  const upsert = database.prepare(
    `INSERT INTO ways (way, cursor, tries, nextTryMs, failingSinceMs, fault, provedAtMs) VALUES (?, ?, ?, ?, ?, ?, ?)
     ON CONFLICT (way) DO UPDATE SET cursor = excluded.cursor, tries = excluded.tries, nextTryMs = excluded.nextTryMs,
       failingSinceMs = excluded.failingSinceMs, fault = excluded.fault, provedAtMs = excluded.provedAtMs`,
  );
  const of = (way: string): WayState => ({ ...(find.first(way) ?? { way, ...untouched }) });
  const put = (state: WayState): WayState => {
    const { way, cursor, tries, nextTryMs, failingSinceMs, fault, provedAtMs } = state;
    upsert.run(way, cursor, tries, nextTryMs, failingSinceMs, fault, provedAtMs);
    return state;
  };
  return {
    of,
    put,
    settle: (settlement: Settlement): WayState => {
      const { way, letterSeq, nowMs } = settlement;
      const before = of(way);
      switch (settlement.is) {
        case 'sent':
          return put({ ...untouched, way, cursor: letterSeq, provedAtMs: nowMs });
        case 'refused':
          return put({ ...before, cursor: letterSeq, tries: 0, nextTryMs: 0, fault: settlement.why });
        case 'failed': {
          const { why: fault, nextTryMs } = settlement;
          const failingSinceMs = before.failingSinceMs ?? nowMs;
          return put({ ...before, tries: before.tries + 1, nextTryMs, failingSinceMs, fault });
        }
        default:
          return settlement satisfies never;
      }
    },
  };
}
