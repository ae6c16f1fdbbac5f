import type { Schema } from '../sqlite/migrate.ts';

/**
 * `history.db`. Era 0 is absolute UTC, so one join gives every reading its instant. `readings` are the
 * fresh rows, keyed for ranges (measured against rows by `inputSeq` with an index on the instant: a day's
 * range 3 times as fast, an hour's 1.2 to 1.5 times, inserts up to 1.1 times as slow); `ord` tells receipts
 * of one millisecond apart and is 0 for absolute instants, which makes those unique. Sealed blocks and
 * roll-ups will be tables of their own, filled from `readings` in known UTC; range and the check for
 * repeats then ask them too.
 */
export const historySchema: Schema = {
  applicationId: 0x53_50_48_59,
  steps: [
    `CREATE TABLE series (
       series INTEGER PRIMARY KEY,
       probe TEXT NOT NULL,
       quantity TEXT NOT NULL,
       unit TEXT NOT NULL,
       UNIQUE (probe, quantity, unit)
     ) STRICT;
     CREATE TABLE eras (
       era INTEGER PRIMARY KEY,
       offsetMs INTEGER NOT NULL,
       known INTEGER NOT NULL CHECK (known IN (0, 1)),
       startedMs INTEGER NOT NULL
     ) STRICT;
     INSERT INTO eras VALUES (0, 0, 1, 0);
     CREATE TABLE readings (
       series INTEGER NOT NULL REFERENCES series,
       era INTEGER NOT NULL REFERENCES eras,
       tMs INTEGER NOT NULL,
       ord INTEGER NOT NULL,
       tempC REAL NOT NULL,
       flags INTEGER NOT NULL CHECK (flags BETWEEN 0 AND 255),
       inputSeq INTEGER NOT NULL,
       receivedMs INTEGER NOT NULL,
       PRIMARY KEY (series, era, tMs, ord)
     ) STRICT, WITHOUT ROWID;
     CREATE UNIQUE INDEX readings_by_input ON readings (inputSeq);`,
    // What is learned of an era moves its curve, not what the watching saw of it.
    `ALTER TABLE eras ADD COLUMN seenOffsetMs INTEGER NOT NULL DEFAULT 0;
     UPDATE eras SET seenOffsetMs = offsetMs;`,
  ],
};
