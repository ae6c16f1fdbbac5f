import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { type Database, openDatabase } from '../../../daemon/sqlite/database.ts';
import { expectSchema, migrate, type Schema } from '../../../daemon/sqlite/migrate.ts';
import { caught } from './caught.ts';
import { tempFolder } from './temp-folder.ts';

const jars: Schema = {
  applicationId: 7,
  steps: [
    'CREATE TABLE jars (jar TEXT PRIMARY KEY) STRICT',
    "ALTER TABLE jars ADD COLUMN lid TEXT NOT NULL DEFAULT 'tin'",
    'CREATE INDEX jars_by_lid ON jars (lid)',
  ],
};

function upTo(version: number): Schema {
  return { ...jars, steps: jars.steps.slice(0, version) };
}

function openEmpty(): Database {
  const database = openDatabase({ path: join(tempFolder(), 'jars.db'), mode: 'write' });
  onTestFinished(database.close);
  return database;
}

function versionOf(database: Database): unknown {
  return database.prepare<{ user_version: number }>('PRAGMA user_version').first()?.user_version;
}

describe('the migration of a file', () => {
  it.each([0, 1, 2, 3])('brings version %i to the newest and keeps its rows', (version) => {
    const database = openEmpty();
    migrate(database, upTo(version));
    if (version > 0) database.exec("INSERT INTO jars (jar) VALUES ('bramble')");
    expect(migrate(database, jars)).toBe(version);
    expect(versionOf(database)).toBe(3);
    expect(
      database
        .prepare('SELECT jar, lid FROM jars')
        .all()
        .map((row) => ({ ...row })),
    ).toEqual(version > 0 ? [{ jar: 'bramble', lid: 'tin' }] : []);
  });

  it('stops before a step that fails, with the earlier ones kept', () => {
    const database = openEmpty();
    const broken = {
      ...jars,
      steps: [jars.steps[0] ?? '', 'CREATE TABLE lids (lid TEXT); SELECT lid FROM jars'],
    };
    expect(() => migrate(database, broken)).toThrow(/no such column/);
    expect(versionOf(database)).toBe(1);
    expect(migrate(database, jars)).toBe(1);
  });

  it('refuses a file of a later release', () => {
    const database = openEmpty();
    migrate(database, jars);
    expect(caught(() => migrate(database, upTo(2)))).toEqual({
      code: 'DATA_NEWER',
      message: `DATA_NEWER: ${database.path} must be of version 2 or earlier, got version 3. Run the release that wrote it, or a later one; nothing was changed in it.`,
    });
    expect(caught(() => expectSchema(database, upTo(2))).code).toBe('DATA_NEWER');
    expect(versionOf(database)).toBe(3);
  });

  it('refuses a file of another program, and one of ours that is of another kind', () => {
    const database = openEmpty();
    database.exec('CREATE TABLE recipes (name TEXT)');
    expect(caught(() => migrate(database, jars))).toEqual({
      code: 'DATA_FOREIGN',
      message: `DATA_FOREIGN: ${database.path} must be a file that Springhouse made (application id 7), got application id 0. Move it away; nothing was changed in it.`,
    });
    const other = openEmpty();
    migrate(other, { ...jars, applicationId: 8 });
    expect(caught(() => migrate(other, jars)).code).toBe('DATA_FOREIGN');
  });

  it('refuses to read a file that was not brought up to date', () => {
    const database = openEmpty();
    migrate(database, upTo(1));
    expect(caught(() => expectSchema(database, jars))).toEqual({
      code: 'DATA_OLDER',
      message: `DATA_OLDER: ${database.path} must be of version 3, got version 1. Start the daemon on its folder once: that brings it up.`,
    });
    migrate(database, jars);
    expectSchema(database, jars);
  });
});
