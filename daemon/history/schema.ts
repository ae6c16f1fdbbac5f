import type { Schema } from '../sqlite/migrate.ts';

/**
 * `history.db`. Era 0 is absolute UTC; other eras are spans of the daemon's steady clock.
 *
 * `log`: one packed row a commit (`log-row.ts`), in the one order of inputs; its readings are `firstSeq` and
 * the numbers after it. It is what the watching resumes from and what a mirror follows, and it is kept for
 * `logKeptMs` also after its readings are sealed (`tend.ts`).
 *
 * `blocks`: sealed readings (`block-encoder.ts`), no two of one series and era over each other. Era 0 holds
 * known UTC; a block of another era holds steady instants and waits for the era to be known. `headCheck` is
 * over all columns but the data, `bodyCheck` over the data and `headCheck`, so that together they cover the row.
 *
 * `sealed`: which readings of the log are in blocks: of a series and era all numbered up to `sealedSeq`, and
 * of those up to `batchSeq` the ones before `batchTMs`. All others are *fresh*, and both threads hold them
 * in memory (`fresh.ts`), loaded from number `freshFromSeq` of `marks`.
 *
 * `rollups`: hours and days of era 0, a week of hours or 24 weeks of days a row (`rollup-rows.ts`).
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
    // Rows of single readings become packed ones on opening (`pack-single-rows.ts`).
    `ALTER TABLE readings RENAME TO single_readings;
     DROP INDEX readings_by_input;
     CREATE TABLE marks (name TEXT PRIMARY KEY, value INTEGER NOT NULL) STRICT, WITHOUT ROWID;
     INSERT INTO marks VALUES ('freshFromSeq', 0);
     CREATE TABLE log (
       firstSeq INTEGER PRIMARY KEY,
       count INTEGER NOT NULL CHECK (count > 0),
       receivedMs INTEGER NOT NULL,
       readings BLOB NOT NULL
     ) STRICT;
     CREATE TABLE sealed (
       series INTEGER NOT NULL REFERENCES series,
       era INTEGER NOT NULL REFERENCES eras,
       sealedSeq INTEGER NOT NULL,
       batchSeq INTEGER NOT NULL,
       batchTMs INTEGER NOT NULL,
       PRIMARY KEY (series, era)
     ) STRICT, WITHOUT ROWID;
     CREATE TABLE blocks (
       block INTEGER PRIMARY KEY AUTOINCREMENT,
       series INTEGER NOT NULL REFERENCES series,
       era INTEGER NOT NULL REFERENCES eras,
       firstMs INTEGER NOT NULL,
       lastMs INTEGER NOT NULL,
       count INTEGER NOT NULL,
       topSeq INTEGER NOT NULL,
       dated INTEGER NOT NULL,
       minC REAL,
       maxC REAL,
       sumC REAL,
       newestMs INTEGER,
       newestC REAL,
       newestFlags INTEGER,
       headCheck INTEGER NOT NULL,
       bodyCheck INTEGER NOT NULL,
       minutes BLOB NOT NULL,
       readings BLOB NOT NULL
     ) STRICT;
     CREATE INDEX blocks_by_time ON blocks (series, era, firstMs);
     CREATE TABLE rollups (
       series INTEGER NOT NULL REFERENCES series,
       level INTEGER NOT NULL,
       fromMs INTEGER NOT NULL,
       entries BLOB NOT NULL,
       UNIQUE (series, level, fromMs)
     ) STRICT;`,
  ],
};
