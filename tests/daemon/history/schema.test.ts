import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { openHistory } from '../../../daemon/history/history.ts';
import { historySchema } from '../../../daemon/history/schema.ts';
import { type Database, openDatabase } from '../../../daemon/sqlite/database.ts';
import { migrate } from '../../../daemon/sqlite/migrate.ts';
import { tempFolder } from '../sqlite/temp-folder.ts';
import { at } from './open-history.ts';

const versions = historySchema.steps.map((_, version) => version);

function openAt(version: number): Database {
  const database = openDatabase({ path: join(tempFolder(), 'history.db'), mode: 'write' });
  onTestFinished(database.close);
  migrate(database, { ...historySchema, steps: historySchema.steps.slice(0, version) });
  return database;
}

function tablesOf(database: Database): unknown[] {
  return database.prepare('SELECT type, name, sql FROM sqlite_schema ORDER BY name').all();
}

describe('the history file', () => {
  it.each(versions)('is brought from version %i to this one and takes readings', (version) => {
    const database = openAt(version);
    const history = openHistory(database);
    expect(tablesOf(database)).toEqual(tablesOf(openAt(historySchema.steps.length)));
    expect(history.isNew).toBe(version === 0);
    expect(history.commitReadings([at(1000, 20)], 1)).toEqual([
      { is: 'stored', inputSeq: 1, atMs: 1000, flags: 0 },
    ]);
  });
});
