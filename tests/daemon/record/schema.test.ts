import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { openRecord } from '../../../daemon/record/record.ts';
import { houseSchema } from '../../../daemon/record/schema.ts';
import { type Database, openDatabase } from '../../../daemon/sqlite/database.ts';
import { migrate } from '../../../daemon/sqlite/migrate.ts';
import { tempFolder } from '../sqlite/temp-folder.ts';
import { stepped } from './open-record.ts';

const versions = houseSchema.steps.map((_, version) => version);

function openAt(version: number): Database {
  const database = openDatabase({ path: join(tempFolder(), 'house.db'), mode: 'write' });
  onTestFinished(database.close);
  migrate(database, { ...houseSchema, steps: houseSchema.steps.slice(0, version) });
  return database;
}

function tablesOf(database: Database): unknown[] {
  return database.prepare('SELECT type, name, sql FROM sqlite_schema ORDER BY name').all();
}

describe('the house file', () => {
  it.each(versions)('is brought from version %i to this one and takes events', (version) => {
    const database = openAt(version);
    const record = openRecord(database);
    expect(tablesOf(database)).toEqual(tablesOf(openAt(houseSchema.steps.length)));
    expect(record.isNew).toBe(version === 0);
    expect(record.appendOutcome({ happenings: [stepped(1)], snapshots: [] })).toMatchObject([
      { recordSeq: 1 },
    ]);
  });
});
