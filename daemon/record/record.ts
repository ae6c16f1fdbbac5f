/** The record on its write connection. */
import type { Database } from '../sqlite/database.ts';
import { migrate } from '../sqlite/migrate.ts';
import { type Notes, openNotes } from './notes.ts';
import { type OnKept, type Outcomes, openOutcomes } from './outcome.ts';
import { openPersonInputs, type PersonInputs } from './person-input.ts';
import { houseSchema } from './schema.ts';

export type HouseRecord = PersonInputs &
  Outcomes &
  Notes & {
    /** True where the file was new. */
    readonly isNew: boolean;
  };

/** Brings a house file up to date and opens it for writing; the caller closes the database. */
export function openRecord(database: Database, onKept?: OnKept): HouseRecord {
  const isNew = migrate(database, houseSchema) === 0;
  return { isNew, ...openPersonInputs(database), ...openOutcomes(database, onKept), ...openNotes(database) };
}
