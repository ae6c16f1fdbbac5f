/** The history on its write connection. */
import type { Database } from '../sqlite/database.ts';
import { migrate } from '../sqlite/migrate.ts';
import { openBlocks } from './blocks.ts';
import { type CommitReadings, openCommit } from './commit.ts';
import { type Eras, openEras } from './era.ts';
import { openFresh } from './fresh.ts';
import { type HistoryInputs, openHistoryInputs } from './inputs.ts';
import { openKeptAt } from './kept-at.ts';
import { openNewest } from './newest.ts';
import { packSingleRows } from './pack-single-rows.ts';
import { openRollups } from './rollup-rows.ts';
import { historySchema } from './schema.ts';
import { openSealing } from './seal.ts';
import { openSeries } from './series.ts';
import { openTending, type Tending } from './tend.ts';

export type History = HistoryInputs &
  Pick<Eras, 'openEra' | 'learnEra'> &
  Pick<Tending, 'tend' | 'sealAll'> & {
    /** True where the file was new. */
    readonly isNew: boolean;
    commitReadings: CommitReadings;
  };

/** Brings a history file up to date and opens it for writing; the caller closes the database. */
export function openHistory(database: Database): History {
  const isNew = migrate(database, historySchema) === 0;
  packSingleRows(database);
  const eras = openEras(database);
  const fresh = openFresh(database);
  fresh.reload();
  const blocks = openBlocks(database);
  const rollups = openRollups(database, blocks);
  const newest = openNewest({ fresh, blocks, offsetOf: eras.offsetOf });
  const series = openSeries(database, newest);
  const keptAt = openKeptAt(fresh, blocks);
  const sealing = openSealing({ database, fresh, blocks, rollups, eras });
  const tending = openTending({ database, fresh, sealing, onSealed: keptAt.forget });
  return {
    ...openHistoryInputs({ database, eras, series, newest }),
    isNew,
    commitReadings: openCommit({ database, eras, series, fresh, keptAt }),
    tend: tending.tend,
    sealAll: tending.sealAll,
    openEra: eras.openEra,
    learnEra: (learned) => {
      eras.learnEra(learned);
      // Newest instants move with the era's offset.
      series.forget();
      tending.learned();
    },
  };
}
