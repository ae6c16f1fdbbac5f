import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { type Database, openDatabase, takeLock } from '../../../daemon/sqlite/database.ts';
import { DiskFault, isRowRefusal } from '../../../daemon/sqlite/disk-fault.ts';
import { caught } from './caught.ts';
import { tempFolder } from './temp-folder.ts';

function openTable(beforeCommit?: () => void): Database {
  const path = join(tempFolder(), 'a.db');
  const database = openDatabase({ path, mode: 'write', ...(beforeCommit && { beforeCommit }) });
  onTestFinished(database.close);
  database.exec('CREATE TABLE jars (jar TEXT PRIMARY KEY, volumeL REAL NOT NULL) STRICT');
  return database;
}

function jars(database: Database): string[] {
  return database
    .prepare<{ jar: string }>('SELECT jar FROM jars ORDER BY jar')
    .all()
    .map(({ jar }) => jar);
}

describe('a database', () => {
  it('is in WAL mode, syncs every commit and holds foreign keys', () => {
    const database = openTable();
    const pragma = (name: string) => Object.values(database.prepare(`PRAGMA ${name}`).first() ?? {});
    expect([pragma('journal_mode'), pragma('synchronous'), pragma('foreign_keys')]).toEqual([
      ['wal'],
      [2],
      [1],
    ]);
  });

  it('keeps what a transaction did and nothing of one that threw', () => {
    const database = openTable();
    const insert = database.prepare('INSERT INTO jars VALUES (?, ?)');
    expect(database.transaction(() => insert.run('bramble', 0.95))).toBe(1);
    const bug = new Error('a bug');
    expect(() =>
      database.transaction(() => {
        insert.run('sorrel', 0.5);
        throw bug;
      }),
    ).toThrow(bug);
    expect(jars(database)).toEqual(['bramble']);
  });

  it('undoes only its own part where a savepoint throws', () => {
    const database = openTable();
    const insert = database.prepare('INSERT INTO jars VALUES (?, ?)');
    database.transaction(() => {
      insert.run('bramble', 0.95);
      expect(() =>
        database.savepoint(() => {
          insert.run('sorrel', 0.5);
          insert.run('bramble', 1);
        }),
      ).toThrow(/UNIQUE/);
      database.savepoint(() => insert.run('teasel', 1));
    });
    expect(jars(database)).toEqual(['bramble', 'teasel']);
  });

  it('undoes a transaction that fails as it commits', () => {
    const database = openTable(() => {
      throw new DiskFault('DISK_FAILED', 'planted');
    });
    const insert = database.prepare('INSERT INTO jars VALUES (?, ?)');
    expect(caught(() => database.transaction(() => insert.run('bramble', 1))).code).toBe('DISK_FAILED');
    expect(jars(database)).toEqual([]);
  });

  it('tells the refusal of a row from a failure of the disk', () => {
    const database = openTable();
    const insert = database.prepare('INSERT INTO jars VALUES (?, ?)');
    const refusal = (...values: (string | number | null)[]) => {
      try {
        insert.run(...values);
        return 'none';
      } catch (error) {
        return isRowRefusal(error);
      }
    };
    expect([refusal('plum', null), refusal('plum', 'a litre'), refusal('plum', 1)]).toEqual([
      true,
      true,
      'none',
    ]);
    expect(isRowRefusal(new DiskFault('DISK_FULL', 'planted'))).toBe(false);
  });

  it('says that the disk is full, keeps nothing of that transaction and goes on when there is room', () => {
    const database = openTable();
    const insert = database.prepare('INSERT INTO jars VALUES (?, ?)');
    const fill = () =>
      database.transaction(() => {
        for (let each = 0; each < 1000; each += 1) insert.run(`jar ${each} ${'x'.repeat(100)}`, 1);
      });
    database.exec('PRAGMA max_page_count = 8');
    expect(caught(fill)).toEqual({
      code: 'DISK_FULL',
      message: `DISK_FULL: the disk of ${database.path} must have room, got database or disk is full. Free some space; the next try may pass.`,
    });
    expect(jars(database)).toEqual([]);
    database.exec('PRAGMA max_page_count = 1000');
    fill();
    expect(jars(database)).toHaveLength(1000);
  });

  it('leaves one file behind when it is closed, also twice', () => {
    const database = openTable();
    expect(existsSync(`${database.path}-wal`)).toBe(true);
    database.close();
    database.close();
    expect(existsSync(`${database.path}-wal`)).toBe(false);
  });

  it('can be read while it is written, and not written by who reads', () => {
    const database = openTable();
    const reading = openDatabase({ path: database.path, mode: 'read' });
    onTestFinished(reading.close);
    database.prepare('INSERT INTO jars VALUES (?, ?)').run('plum', 2);
    expect(jars(reading)).toEqual(['plum']);
    expect(caught(() => reading.exec('DELETE FROM jars')).code).toBe('DISK_READ_ONLY');
  });

  it('is not made by who would only read it', () => {
    const path = join(tempFolder(), 'none.db');
    expect(caught(() => openDatabase({ path, mode: 'read' }))).toEqual({
      code: 'DATA_MISSING',
      message: `DATA_MISSING: ${path} must be a file, got none. Give the data folder of a house that has run.`,
    });
    expect(existsSync(path)).toBe(false);
  });

  it.each(['write', 'read'] as const)(
    'refuses to %s a file that is no database, and leaves it as it is',
    (mode) => {
      const path = join(tempFolder(), 'a.db');
      writeFileSync(path, 'Bramble gave two litres. '.repeat(400));
      const before = readFileSync(path);
      expect(caught(() => openDatabase({ path, mode }))).toEqual({
        code: 'DATA_DAMAGED',
        message: `DATA_DAMAGED: ${path} must be a sound database, got file is not a database. Nothing was overwritten: put a backup in its place, or move it and its -wal and -shm files away to begin a new one.`,
      });
      expect(readFileSync(path).equals(before)).toBe(true);
    },
  );

  it('refuses a folder in the place of a file', () => {
    const path = join(tempFolder(), 'a.db');
    mkdirSync(path);
    expect(caught(() => openDatabase({ path, mode: 'write' })).code).toBe('DATA_FOLDER');
  });
});

describe('a lock', () => {
  it('is held once, and free again when it is given up', () => {
    const path = join(tempFolder(), 'lock.db');
    const release = takeLock(path);
    expect(caught(() => takeLock(path)).code).toBe('DISK_LOCKED');
    release();
    takeLock(path)();
  });
});
