import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import { type History, openHistory } from '../../../daemon/history/history.ts';
import type { IntakeItem, Verdict } from '../../../daemon/history/intake-item.ts';
import { type HistoryRange, openHistoryRange } from '../../../daemon/history/range.ts';
import { type Database, openDatabase } from '../../../daemon/sqlite/database.ts';
import { tempFolder } from '../sqlite/temp-folder.ts';

/** A history on a real file, its write and its read side, and the numbering that the writer would do. */
export type TestHistory = {
  database: Database;
  history: History;
  read: HistoryRange;
  commit(...items: IntakeItem[]): Verdict[];
  /** Opens both sides again on the file as it is, as after a restart; numbers go on. */
  again(): TestHistory;
  /** Empties the file and opens it again; numbers begin at 1. */
  emptied(): TestHistory;
};

/** Opens a new history in a folder of its own; it is closed when the running test has finished. */
export function openTestHistory(): TestHistory {
  const path = join(tempFolder(), 'history.db');
  const database = openDatabase({ path, mode: 'write' });
  onTestFinished(database.close);
  openHistory(database);
  const reading = openDatabase({ path, mode: 'read' });
  onTestFinished(reading.close);
  return historyOn(database, reading);
}

function historyOn(database: Database, reading: Database): TestHistory {
  const history = openHistory(database);
  let nextSeq = (history.last()?.inputSeq ?? 0) + 1;
  return {
    database,
    history,
    read: openHistoryRange(reading),
    commit: (...items) => {
      const verdicts = history.commitReadings(items, nextSeq);
      nextSeq += verdicts.filter(({ is }) => is === 'stored').length;
      return verdicts;
    },
    again: () => historyOn(database, reading),
    emptied: () => {
      database.exec(`DELETE FROM log; DELETE FROM sealed; DELETE FROM blocks; DELETE FROM rollups;
                     DELETE FROM eras WHERE era > 0; UPDATE marks SET value = 0`);
      return historyOn(database, reading);
    },
  };
}

/** Makes a reading with an absolute instant, received 5 ms later. */
export function at(atMs: number, tempC: number, more: Partial<IntakeItem> = {}): IntakeItem {
  return { probe: 'jar', tempC, flags: 0, receivedMs: atMs + 5, stamp: { atMs }, ...more };
}

/** Makes a reading stamped by its receipt on an era's steady clock. */
export function heard(
  era: number,
  steadyMs: number,
  tempC: number,
  more: Partial<IntakeItem> = {},
): IntakeItem {
  return { probe: 'jar', tempC, flags: 1, receivedMs: steadyMs, stamp: { era, steadyMs }, ...more };
}
