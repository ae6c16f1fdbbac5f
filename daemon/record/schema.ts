import type { Schema } from '../sqlite/migrate.ts';

/**
 * `house.db`. `events.json` is the very text that was hashed, the other columns repeat parts of it for
 * questions. `inputs` are those that are no readings. `snapshots` alone hold how far the watching has come.
 */
export const houseSchema: Schema = {
  applicationId: 0x53_50_48_52,
  steps: [
    `CREATE TABLE events (
       recordSeq INTEGER PRIMARY KEY,
       id TEXT NOT NULL UNIQUE,
       kind TEXT NOT NULL,
       atMs INTEGER NOT NULL,
       json TEXT NOT NULL,
       hash TEXT NOT NULL
     ) STRICT;
     CREATE TABLE inputs (
       inputSeq INTEGER PRIMARY KEY,
       kind TEXT NOT NULL CHECK (kind IN ('word', 'clock', 'start')),
       wordId TEXT UNIQUE,
       receivedMs INTEGER NOT NULL,
       json TEXT NOT NULL
     ) STRICT;
     CREATE TABLE snapshots (
       lane TEXT PRIMARY KEY,
       stateVersion INTEGER NOT NULL,
       inputSeq INTEGER NOT NULL,
       body TEXT NOT NULL
     ) STRICT, WITHOUT ROWID;
     CREATE TABLE meta (
       key TEXT PRIMARY KEY,
       value TEXT NOT NULL
     ) STRICT, WITHOUT ROWID;`,
  ],
};
