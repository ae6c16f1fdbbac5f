/** What the watching came to, kept whole or not at all. */
import type { Happening, RecordEvent } from '../../shared/contract/event.ts';
import type { Database } from '../sqlite/database.ts';
import { type ChainEnd, chainEvent, firstPrev } from './chain.ts';

/** The state of one lane of the watching after input `inputSeq`; `body` is opaque to the record. */
export type Snapshot = { lane: string; stateVersion: number; inputSeq: number; body: string };

/** What one or more steps of the watching came to. */
export type Outcome = {
  happenings: readonly Happening[];
  snapshots: readonly Snapshot[];
  /** The daemon's time, epoch ms, for what the new events cause; that of the newest of them unless given. */
  nowMs?: number | undefined;
};

/** Called with new events in the transaction that keeps them; where it throws, nothing is kept. */
export type OnKept = (events: readonly RecordEvent[], nowMs: number) => void;

export type Outcomes = {
  /**
   * Numbers, chains and keeps happenings, leaving out those whose id is there, and puts snapshots in place
   * of earlier ones of their lanes, in one transaction. Returns the new events. Throws `EVENT_RULE` where
   * one happening is not of the closed union; then nothing is kept.
   */
  appendOutcome(outcome: Outcome): RecordEvent[];
  /** Returns every lane's snapshot, by lane. */
  snapshots(): Snapshot[];
  /** Returns where the record ends. */
  end(): ChainEnd;
};

/** Opens the keeping of outcomes on the write connection of a house file. */
export function openOutcomes(database: Database, onKept: OnKept = () => {}): Outcomes {
  const find = database.prepare<{ recordSeq: number }>('SELECT recordSeq FROM events WHERE id = ?');
  const insert = database.prepare(
    'INSERT INTO events (recordSeq, id, kind, atMs, json, hash) VALUES (?, ?, ?, ?, ?, ?)',
  );
  const last = database.prepare<ChainEnd>(
    'SELECT recordSeq, hash FROM events ORDER BY recordSeq DESC LIMIT 1',
  );
  const upsert = database.prepare(
    `INSERT INTO snapshots (lane, stateVersion, inputSeq, body) VALUES (?, ?, ?, ?)
     ON CONFLICT (lane) DO UPDATE SET stateVersion = excluded.stateVersion, inputSeq = excluded.inputSeq, body = excluded.body`,
  );
  const all = database.prepare<Snapshot>(
    'SELECT lane, stateVersion, inputSeq, body FROM snapshots ORDER BY lane',
  );
  const end = (): ChainEnd => ({ ...(last.first() ?? { recordSeq: 0, hash: firstPrev }) });

  const append = (happenings: readonly Happening[]): RecordEvent[] => {
    const added: RecordEvent[] = [];
    for (const happening of happenings) {
      if (find.first(happening.id) !== undefined) continue;
      const { event, json } = chainEvent(happening, end());
      insert.run(event.recordSeq, event.id, event.kind, event.atMs, json, event.hash);
      added.push(event);
    }
    return added;
  };
  return {
    appendOutcome: ({ happenings, snapshots, nowMs }) =>
      database.transaction(() => {
        const added = append(happenings);
        if (added.length > 0) onKept(added, nowMs ?? Math.max(...added.map(({ atMs }) => atMs)));
        for (const { lane, stateVersion, inputSeq, body } of snapshots) {
          upsert.run(lane, stateVersion, inputSeq, body);
        }
        return added;
      }),
    snapshots: () => all.all().map((row) => ({ ...row })),
    end,
  };
}
