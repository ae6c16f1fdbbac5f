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
    // Letters to people. `seqs` are the events that a letter tells of; `takenOver` marks one that another way
    // brings, too. `manners.turn` tells whether what is held in memory is what was kept.
    `CREATE TABLE outbox (
       letterSeq INTEGER PRIMARY KEY AUTOINCREMENT,
       id TEXT NOT NULL,
       receiver TEXT NOT NULL,
       way TEXT NOT NULL,
       matter TEXT,
       weight TEXT NOT NULL,
       why TEXT NOT NULL,
       seqs TEXT NOT NULL,
       more INTEGER NOT NULL,
       madeAtMs INTEGER NOT NULL,
       state TEXT NOT NULL DEFAULT 'waiting' CHECK (state IN ('waiting', 'sent', 'refused', 'elsewhere')),
       takenOver INTEGER NOT NULL DEFAULT 0 CHECK (takenOver IN (0, 1)),
       settledMs INTEGER,
       fault TEXT,
       UNIQUE (id, receiver, way)
     ) STRICT;
     CREATE INDEX outbox_waiting ON outbox (way, letterSeq) WHERE state = 'waiting';
     CREATE TABLE ways (
       way TEXT PRIMARY KEY,
       cursor INTEGER NOT NULL,
       tries INTEGER NOT NULL,
       nextTryMs INTEGER NOT NULL,
       failingSinceMs INTEGER,
       fault TEXT,
       provedAtMs INTEGER
     ) STRICT, WITHOUT ROWID;
     CREATE TABLE manners (
       one INTEGER PRIMARY KEY CHECK (one = 1),
       version INTEGER NOT NULL,
       turn INTEGER NOT NULL,
       body TEXT NOT NULL
     ) STRICT;`,
    // Who may come in. Of tokens and keys only hashes are kept; \`before\` is the token that this one replaced.
    `CREATE TABLE people (
       id TEXT PRIMARY KEY,
       name TEXT NOT NULL,
       password TEXT NOT NULL,
       pairedAtMs INTEGER NOT NULL
     ) STRICT, WITHOUT ROWID;
     CREATE TABLE sessions (
       id TEXT PRIMARY KEY,
       person TEXT NOT NULL REFERENCES people (id) ON DELETE CASCADE,
       token TEXT NOT NULL UNIQUE,
       before TEXT,
       turnedAtMs INTEGER,
       madeAtMs INTEGER NOT NULL,
       rotatedAtMs INTEGER NOT NULL,
       usedAtMs INTEGER NOT NULL,
       "where" TEXT NOT NULL
     ) STRICT, WITHOUT ROWID;
     CREATE TABLE probeKeys (
       probe TEXT PRIMARY KEY,
       hash TEXT NOT NULL,
       madeAtMs INTEGER NOT NULL
     ) STRICT, WITHOUT ROWID;
     CREATE TABLE door (
       one INTEGER PRIMARY KEY CHECK (one = 1),
       settings TEXT NOT NULL
     ) STRICT;`,
  ],
};
