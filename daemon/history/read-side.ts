/** What every question to the history needs, on a read-only connection, as the file is at one instant. */
import type { Database } from '../sqlite/database.ts';
import { expectSchema } from '../sqlite/migrate.ts';
import { type Blocks, openBlocks } from './blocks.ts';
import { absoluteEra } from './era.ts';
import { type Fresh, openFresh } from './fresh.ts';
import { openRollups, type Rollups } from './rollup-rows.ts';
import { historySchema } from './schema.ts';
import { findSeries } from './series.ts';

export type ReadSide = {
  fresh: Fresh;
  blocks: Blocks;
  rollups: Pick<Rollups, 'ask'>;
  seriesOf: (probe: string) => number | null;
  /** An era's offset to UTC, as far as it is known. */
  offsetOf: (era: number) => number;
  /** Answers a question from one state of the file, with what is fresh by now. */
  ask<T>(question: () => T): T;
};

/** Opens the reading side; throws where the file is not one of this release. */
export function openReadSide(database: Database): ReadSide {
  expectSchema(database, historySchema);
  const fresh = openFresh(database);
  const blocks = openBlocks(database);
  const offset = database.prepare<{ offsetMs: number }>('SELECT offsetMs FROM eras WHERE era = ?');
  return {
    fresh,
    blocks,
    rollups: openRollups(database, blocks),
    seriesOf: findSeries(database),
    offsetOf: (era) => (era === absoluteEra ? 0 : (offset.first(era)?.offsetMs ?? 0)),
    ask: (question) =>
      database.snapshot(() => {
        fresh.refresh();
        return question();
      }),
  };
}
