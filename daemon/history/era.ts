/** Eras: one run of the daemon between two steps of its clock, on a steady clock whose offset may be learned later. */
import type { Database } from '../sqlite/database.ts';
import { DiskFault } from '../sqlite/disk-fault.ts';

/** An era as it begins: UTC = steady + `offsetMs`, as well as is known; `startedMs` is UTC by that offset. */
export type EraStart = { offsetMs: number; known: boolean; startedMs: number };

/** What the offset of an era turned out to be; `known` means that the system said it was synchronised. */
export type EraLearned = { era: number; offsetMs: number; known: boolean };

export type Eras = {
  /** Keeps an era and returns its id, from 1; throws `ERA_RULE` where a field is no whole number. */
  openEra(start: EraStart): number;
  /**
   * Moves an era's readings on curves by keeping another offset; throws `ERA_RULE` for an era that was never
   * opened. An era that is known keeps its offset once readings of it are sealed: blocks hold UTC. The watching goes on to see them by the offset with which the era began: a turn of the clock,
   * which is an input of its own, tells it of the rest.
   */
  learnEra(learned: EraLearned): void;
  /** Returns an era's offset to UTC; undefined where it was never opened. */
  offsetOf(era: number): number | undefined;
  /** Returns true where an era's readings have UTC instants for good: absolute ones, and those of a known clock. */
  isKnown(era: number): boolean;
  /** Returns the offset by which the watching sees an era's readings, live and on resume. */
  seenOffsetOf(era: number): number | undefined;
};

/** The era of readings with absolute instants. */
export const absoluteEra = 0;

type Offsets = { offsetMs: number; seenOffsetMs: number; known: boolean };

/** Opens the eras of a history file; their offsets are held in memory. */
export function openEras(database: Database): Eras {
  const insert = database.prepare<{ era: number }>(
    'INSERT INTO eras (offsetMs, known, startedMs, seenOffsetMs) VALUES (?, ?, ?, ?) RETURNING era',
  );
  const update = database.prepare('UPDATE eras SET offsetMs = ?, known = ? WHERE era = ?');
  const offsets = new Map<number, Offsets>(
    database
      .prepare<{ era: number; offsetMs: number; seenOffsetMs: number; known: number }>(
        'SELECT era, offsetMs, seenOffsetMs, known FROM eras',
      )
      .all()
      .map(({ era, offsetMs, seenOffsetMs, known }) => [era, { offsetMs, seenOffsetMs, known: known === 1 }]),
  );
  return {
    openEra: ({ offsetMs, known, startedMs }) => {
      refuseFraction('offsetMs', offsetMs);
      refuseFraction('startedMs', startedMs);
      const row = database.transaction(() => insert.first(offsetMs, known ? 1 : 0, startedMs, offsetMs));
      if (row === undefined) throw new Error('INSERT RETURNING must give a row, got none.');
      offsets.set(row.era, { offsetMs, seenOffsetMs: offsetMs, known });
      return row.era;
    },
    learnEra: ({ era, offsetMs, known }) => {
      refuseFraction('offsetMs', offsetMs);
      const offset = era === absoluteEra ? undefined : offsets.get(era);
      if (offset === undefined) {
        throw new DiskFault('ERA_RULE', `the era must be one that was opened, got ${era}. Open one first.`);
      }
      database.transaction(() => update.run(offsetMs, known ? 1 : 0, era));
      offset.offsetMs = offsetMs;
      offset.known = known;
    },
    offsetOf: (era) => offsets.get(era)?.offsetMs,
    isKnown: (era) => offsets.get(era)?.known === true,
    seenOffsetOf: (era) => offsets.get(era)?.seenOffsetMs,
  };
}

function refuseFraction(field: string, value: number): void {
  if (Number.isSafeInteger(value)) return;
  throw new DiskFault('ERA_RULE', `the era's ${field} must be whole milliseconds, got ${value}. Round it.`);
}
