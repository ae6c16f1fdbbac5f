/** The people in `house.db`, on its write connection; the record's schema makes their tables. */
import { doorSettings } from '../../shared/contract/door.ts';
import type { Database } from '../sqlite/database.ts';
import type { KeptKey, KeptPerson, KeptSession, PeopleChange, PeopleKept } from './kept.ts';

export type PeopleFile = {
  /** Returns all that is kept; it is small by the limits of `people.ts`. */
  peopleKept(): PeopleKept;
  /** Keeps changes in one transaction, in order; where it throws, none of them. */
  keepPeople(changes: readonly PeopleChange[]): void;
};

/** Opens the tables; the schema's step must have been run. */
export function openPeopleFile(database: Database): PeopleFile {
  const people = database.prepare<KeptPerson>('SELECT * FROM people ORDER BY pairedAtMs, id');
  const sessions = database.prepare<KeptSession>('SELECT * FROM sessions ORDER BY madeAtMs, id');
  const keys = database.prepare<KeptKey>('SELECT * FROM probeKeys ORDER BY probe');
  const door = database.prepare<{ settings: string }>('SELECT settings FROM door');
  const apply = openChanges(database);
  return {
    peopleKept: () => {
      const settings = door.first()?.settings;
      return {
        people: people.all().map((row) => ({ ...row })),
        sessions: sessions.all().map((row) => ({ ...row })),
        keys: keys.all().map((row) => ({ ...row })),
        door: settings === undefined ? null : doorSettings.parse(JSON.parse(settings)),
      };
    },
    keepPeople: (changes) => database.transaction(() => changes.forEach(apply)),
  };
}

function openChanges(database: Database): (change: PeopleChange) => void {
  const putPerson = database.prepare(
    `INSERT INTO people (id, name, password, pairedAtMs) VALUES (?, ?, ?, ?)
     ON CONFLICT (id) DO UPDATE SET name = excluded.name, password = excluded.password`,
  );
  const putSession = database.prepare(
    `INSERT INTO sessions (id, person, token, before, turnedAtMs, madeAtMs, rotatedAtMs, usedAtMs, "where")
     VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)
     ON CONFLICT (id) DO UPDATE SET token = excluded.token, before = excluded.before,
       turnedAtMs = excluded.turnedAtMs, rotatedAtMs = excluded.rotatedAtMs, usedAtMs = excluded.usedAtMs`,
  );
  const putKey = database.prepare(
    'INSERT OR REPLACE INTO probeKeys (probe, hash, madeAtMs) VALUES (?, ?, ?)',
  );
  const putDoor = database.prepare('INSERT OR REPLACE INTO door (one, settings) VALUES (1, ?)');
  const drops = {
    person: database.prepare('DELETE FROM people WHERE id = ?'),
    session: database.prepare('DELETE FROM sessions WHERE id = ?'),
    key: database.prepare('DELETE FROM probeKeys WHERE probe = ?'),
  };
  return (change) => {
    if ('drop' in change) {
      drops[change.drop].run(change.id);
      return;
    }
    switch (change.put) {
      case 'person': {
        const { id, name, password, pairedAtMs } = change.row;
        putPerson.run(id, name, password, pairedAtMs);
        break;
      }
      case 'session': {
        const { id, person, token, before, turnedAtMs, madeAtMs, rotatedAtMs, usedAtMs, where } = change.row;
        putSession.run(id, person, token, before, turnedAtMs, madeAtMs, rotatedAtMs, usedAtMs, where);
        break;
      }
      case 'key':
        putKey.run(change.row.probe, change.row.hash, change.row.madeAtMs);
        break;
      case 'door':
        putDoor.run(JSON.stringify(change.row));
        break;
      default:
        change satisfies never;
    }
  };
}
