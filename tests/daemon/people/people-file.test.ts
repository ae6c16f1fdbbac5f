import { join } from 'node:path';
import { expect, it } from 'vitest';
import { openPeopleFile } from '../../../daemon/people/people-file.ts';
import { openProbeKeys } from '../../../daemon/people/probe-keys.ts';
import { houseSchema } from '../../../daemon/record/schema.ts';
import { openDatabase } from '../../../daemon/sqlite/database.ts';
import { migrate } from '../../../daemon/sqlite/migrate.ts';
import { shutDoor } from '../../../shared/contract/door.ts';
import { tempFolder } from '../sqlite/temp-folder.ts';
import { dawnMs } from './memory-people.ts';

function openFile() {
  const database = openDatabase({ path: join(tempFolder(), 'house.db'), mode: 'write' });
  migrate(database, houseSchema);
  return openPeopleFile(database);
}

const plum = { id: 'plum', name: 'Plum', password: 'scrypt$1', pairedAtMs: dawnMs };
const session = {
  id: 's1',
  person: 'plum',
  token: 'aa',
  before: null,
  turnedAtMs: null,
  madeAtMs: dawnMs,
  rotatedAtMs: dawnMs,
  usedAtMs: dawnMs,
  where: 'a phone',
};

it('keeps people, sessions, keys and the door, and forgets a person’s sessions with the person', () => {
  const file = openFile();
  expect(file.peopleKept()).toEqual({ people: [], sessions: [], keys: [], door: null });
  const key = { probe: 'jar', hash: 'salt$hash', madeAtMs: dawnMs };
  file.keepPeople([
    { put: 'person', row: plum },
    { put: 'session', row: session },
    { put: 'session', row: { ...session, before: 'aa', token: 'bb', turnedAtMs: dawnMs + 1 } },
    { put: 'key', row: key },
    { put: 'door', row: { ...shutDoor, open: true } },
  ]);
  expect(file.peopleKept()).toEqual({
    people: [plum],
    sessions: [{ ...session, before: 'aa', token: 'bb', turnedAtMs: dawnMs + 1 }],
    keys: [key],
    door: { ...shutDoor, open: true },
  });
  file.keepPeople([
    { drop: 'person', id: 'plum' },
    { drop: 'key', id: 'jar' },
  ]);
  expect(file.peopleKept()).toMatchObject({ people: [], sessions: [], keys: [] });
});

it('keeps all changes of one call or none', () => {
  const file = openFile();
  expect(() =>
    file.keepPeople([
      { put: 'person', row: plum },
      { put: 'session', row: { ...session, person: 'nobody' } },
    ]),
  ).toThrow('FOREIGN KEY');
  expect(file.peopleKept().people).toEqual([]);
});

it('knows a probe by the password that its key was made with, and by no other', async () => {
  const file = openFile();
  const keep = async (changes: Parameters<typeof file.keepPeople>[0]) => file.keepPeople(changes);
  const keys = openProbeKeys({ kept: [], keep, nowMs: () => dawnMs });
  const changed: string[] = [];
  keys.onChanged((probe) => changed.push(probe));
  const first = await keys.make('jar');
  const second = await keys.make('jar');
  const again = openProbeKeys({ kept: file.peopleKept().keys, keep, nowMs: () => dawnMs });
  expect(second).toMatch(/^[\w-]{20}$/);
  expect([first, second, ''].map((password) => again.fits('jar', password))).toEqual([false, true, false]);
  expect([again.fits('pot', second), again.fits('pot', '')]).toEqual([false, false]);
  expect(await again.revoke('jar')).toBe(true);
  expect([again.fits('jar', second), await again.revoke('jar'), file.peopleKept().keys]).toEqual([
    false,
    false,
    [],
  ]);
  expect(changed).toEqual(['jar', 'jar']);
});
