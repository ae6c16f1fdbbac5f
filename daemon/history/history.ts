/** The history on its write connection. */
import type { Database } from '../sqlite/database.ts';
import { migrate } from '../sqlite/migrate.ts';
import { type CommitReadings, openCommit } from './commit.ts';
import { type Eras, openEras } from './era.ts';
import { type HistoryInputs, openHistoryInputs } from './inputs.ts';
import { historySchema } from './schema.ts';
import { openSeries } from './series.ts';

export type History = HistoryInputs &
  Pick<Eras, 'openEra' | 'learnEra'> & {
    /** True where the file was new. */
    readonly isNew: boolean;
    commitReadings: CommitReadings;
  };

/** Brings a history file up to date and opens it for writing; the caller closes the database. */
export function openHistory(database: Database): History {
  const isNew = migrate(database, historySchema) === 0;
  const eras = openEras(database);
  const series = openSeries(database);
  return {
    ...openHistoryInputs(database),
    isNew,
    commitReadings: openCommit(database, eras, series),
    openEra: eras.openEra,
    learnEra: (learned) => {
      eras.learnEra(learned);
      // Newest instants move with the era's offset.
      series.forget();
    },
  };
}
