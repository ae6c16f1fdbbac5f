import type { FaultNote } from './fault-note.ts';

/** Codes of the data folder, its files and the disk below them. */
export const dataFaults = {
  DATA_BUSY: {
    meaning: 'Another daemon runs on the same data folder.',
    whatToDo: 'Stop the other one, or give another folder with --data.',
  },
  DATA_FOLDER: {
    meaning: 'The data folder, or a file in it, cannot be made or opened.',
    whatToDo:
      'See that the folder is there and belongs to the user who runs this, or give another with --data.',
  },
  DATA_MISSING: {
    meaning: 'A file that was to be read is not in the data folder.',
    whatToDo: 'Give the data folder of a house that has run.',
  },
  DATA_FOREIGN: {
    meaning: 'A file in the data folder is a database of another program.',
    whatToDo: 'Move it away; nothing was changed in it.',
  },
  DATA_NEWER: {
    meaning: 'A file was written by a later release.',
    whatToDo: 'Run that release or a later one; nothing was changed in the file.',
  },
  DATA_OLDER: {
    meaning: 'A file is of an earlier release and was opened only for reading.',
    whatToDo: 'Start the daemon on the folder once: that brings it up.',
  },
  DATA_DAMAGED: {
    meaning: 'A file is not a sound database.',
    whatToDo:
      'Nothing was overwritten. Put a backup in its place, or move it and its -wal and -shm files away to begin a new one.',
  },
  RECORD_BROKEN: {
    meaning:
      'An event of the record is not as it was kept: a number, a hash, or the text itself was changed.',
    whatToDo: 'Restore house.db from a backup. The events before the one that is named are whole.',
  },
  HISTORY_DAMAGED: {
    meaning:
      'A part of history.db is not as it was kept. A damaged block costs its own stretch alone, which is a gap; all others are read as before.',
    whatToDo:
      'Keep a copy of the file. Stop the daemon and put a backup back with springhouse restore --only history, or import the stretch again from an export or a mirror.',
  },
  HISTORY_LOST: {
    meaning: 'history.db was gone and is begun anew. The record is whole; earlier readings are not there.',
    whatToDo: 'Stop the daemon and put a backup of history.db in its place, if there is one.',
  },
  RECORD_LOST: {
    meaning:
      'house.db was gone and is begun anew: record, watches and the id of the house. The readings are there.',
    whatToDo: 'Stop the daemon and put a backup of house.db in its place, if there is one.',
  },
  BACKUP_DAMAGED: {
    meaning: 'A folder is no backup, or a file in it is not as it was made. Nothing was changed.',
    whatToDo: 'Give the folder of another backup.',
  },
  BACKUP_FOLDER: {
    meaning: 'The folder for a backup, or of one, cannot be read or written.',
    whatToDo: 'Give another folder, or see that it belongs to the user who runs this.',
  },
  MIRROR_AWAY: {
    meaning:
      'A mirror cannot be reached or is too busy. Nothing is lost: readings wait in the history and follow.',
    whatToDo: 'See that its server runs and that its address is right; the next try comes by itself.',
  },
  MIRROR_DENIED: {
    meaning: 'A mirror is reached and does not let this house write.',
    whatToDo: 'Look at its token, org and bucket. Readings wait in the history and follow by themselves.',
  },
  DISK_FULL: {
    meaning: 'The disk has no room. Readings are not acknowledged, so that probes keep and send them again.',
    whatToDo: 'Free some space; the next try may pass.',
  },
  DISK_FAILED: {
    meaning: 'The disk refused to read or write.',
    whatToDo: 'Look at the disk and its cable, and at the messages of the system; the next try may pass.',
  },
  DISK_LOCKED: {
    meaning: 'Another program holds a file of the data folder.',
    whatToDo: 'Close what holds it, such as a database browser; the next try may pass.',
  },
  DISK_READ_ONLY: {
    meaning: 'A file of the data folder may not be written.',
    whatToDo: 'Give the folder back to the user who runs this; see whether the disk is mounted read-only.',
  },
  ERA_RULE: {
    meaning: 'An era of the clock was to be kept with a field that is no whole number, or was never opened.',
    whatToDo: 'Report it with the message: this is a bug.',
  },
  EVENT_RULE: {
    meaning: 'An event is not of the closed union that the record may hold.',
    whatToDo: 'Report it with the message: this is a bug.',
  },
  LIMIT_RULE: {
    meaning: 'More was asked for, or given, than one call takes.',
    whatToDo: 'Ask in parts.',
  },
  RANGE_RULE: {
    meaning: 'A range of the history has impossible ends or too many points.',
    whatToDo: 'Ask again, from earlier to later, for fewer points.',
  },
  THREAD_FULL: {
    meaning: 'More calls wait for the writer or the reader than are let in.',
    whatToDo: 'Ask again later. If it stays, look at the disk: it is slower than what arrives.',
  },
  THREAD_GONE: {
    meaning: 'The writer or the reader has ended.',
    whatToDo:
      'The supervisor starts the daemon anew; if it happens again, report it with the messages before.',
  },
} as const satisfies Record<string, FaultNote>;
