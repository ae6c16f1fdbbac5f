/** `springhouse open`, `shut`, `people` and `key`: to the house that runs, else to its data folder. Wiring. */
import { resolve } from 'node:path';
import {
  type DoorSettings,
  type OpenedView,
  type PairingView,
  type PersonView,
  shutDoor,
} from '../shared/contract/door.ts';
import { type Answered, askOwner } from './ask-owner.ts';
import type { Values } from './cli/parse-command.ts';
import { peopleTable } from './cli/people-table.ts';
import { faults, text } from './commands.ts';
import { readEnvironment } from './config/environment.ts';
import { doorPaper, pairingPaper } from './door/door-paper.ts';
import { settingsFault } from './door/settings-fault.ts';
import { openWriter, type Writer } from './writer.ts';

/** `springhouse open`: prints where the house listens, a pairing code, and the keys that were made. */
export async function runOpen(values: Values): Promise<number> {
  const settings = settingsOf(values);
  const fault = settingsFault(settings);
  if (fault !== null) return faults([fault], 2);
  const dataDir = dataDirOf(values);
  return told(await askOwner(dataDir, '/owner/open', settings), {
    answer: (body) => print(doorPaper(body as OpenedView, paper)),
    away: () =>
      offline(dataDir, async (writer) => {
        await writer.keepPeople([{ put: 'door', row: settings }]);
        return [
          'No house runs on this data folder: it opens when it starts.',
          'Start it, then ask for a pairing code and the keys: springhouse open',
        ];
      }),
  });
}

/** `springhouse shut`. */
export async function runShut(values: Values): Promise<number> {
  const dataDir = dataDirOf(values);
  const shut = 'The house is shut: it listens on this machine only.';
  return told(await askOwner(dataDir, '/owner/shut', {}), {
    answer: () => print([shut]),
    away: () =>
      offline(dataDir, async (writer) => {
        const { door } = await writer.peopleKept();
        await writer.keepPeople([{ put: 'door', row: { ...(door ?? shutDoor), open: false } }]);
        return [shut];
      }),
  });
}

/** `springhouse people`: who may come in. */
export async function runPeople(values: Values): Promise<number> {
  const dataDir = dataDirOf(values);
  const show = (people: PersonView[]) =>
    values.json === true ? [JSON.stringify(people)] : peopleTable(people, Date.now());
  return told(await askOwner(dataDir, '/api/people'), {
    answer: (body) => print(show((body as { people: PersonView[] }).people)),
    away: () =>
      offline(dataDir, async (writer) => {
        const { people, sessions } = await writer.peopleKept();
        const views = people.map(({ id, name, pairedAtMs }) => ({
          id,
          name,
          pairedAtMs,
          sessions: sessions
            .filter(({ person }) => person === id)
            .map(({ id: session, where, madeAtMs, usedAtMs }) => ({
              id: session,
              where,
              sinceMs: madeAtMs,
              usedAtMs,
              own: false,
            })),
        }));
        return show(views);
      }),
  });
}

/** `springhouse people code`: a code for somebody new, or for one who forgot the password. */
export async function runPeopleCode(values: Values): Promise<number> {
  return told(await askOwner(dataDirOf(values), '/owner/code', { person: text(values.person) }), {
    answer: (body) => print(pairingPaper(body as PairingView, paper)),
    away: mustRun,
  });
}

/** `springhouse people remove PERSON`: all sessions of this person end at once. */
export async function runPeopleRemove(person: string, values: Values): Promise<number> {
  const dataDir = dataDirOf(values);
  const removed = [`${person} is removed; what was said stays in the record.`];
  return told(await askOwner(dataDir, '/api/people/remove', { v: 1, person }), {
    answer: () => print(removed),
    away: () =>
      offline(dataDir, async (writer) => {
        const { people } = await writer.peopleKept();
        if (!people.some(({ id }) => id === person)) {
          throw new Error(
            `DOOR_UNKNOWN: the person must be one of this house, got ${person}. springhouse people lists them.`,
          );
        }
        await writer.keepPeople([{ drop: 'person', id: person }]);
        return removed;
      }),
  });
}

/** `springhouse people end SESSION`: one session ends at once. */
export async function runPeopleEnd(session: string, values: Values): Promise<number> {
  const dataDir = dataDirOf(values);
  return told(await askOwner(dataDir, '/api/people/end-session', { v: 1, session }), {
    answer: () => print(['That session has ended.']),
    away: () =>
      offline(dataDir, async (writer) => {
        await writer.keepPeople([{ drop: 'session', id: session }]);
        return ['That session has ended.'];
      }),
  });
}

/** `springhouse key PROBE`: a new key in place of the one there is, or with --revoke none. */
export async function runKey(probe: string, values: Values): Promise<number> {
  const revoke = values.revoke === true;
  return told(await askOwner(dataDirOf(values), '/owner/key', { probe, revoke }), {
    answer: (body) => {
      const { password } = body as { password: string | null };
      if (password === null) return print([`${probe} has no key any more.`]);
      return print([`user ${probe}`, `password ${password}`, 'It stands here this once.']);
    },
    away: mustRun,
  });
}

const paper = { isTerminal: process.stdout.isTTY };

function dataDirOf(values: Values): string {
  return resolve(text(values.data) ?? readEnvironment().dataDir);
}

function settingsOf(values: Values): DoorSettings {
  const list = (value: Values[string]) => (Array.isArray(value) ? value.map(String) : []);
  const file = (value: Values[string]) => {
    const path = text(value);
    return path === null ? null : resolve(path);
  };
  const broker = text(values.broker);
  return {
    open: true,
    addresses: list(values.address),
    names: list(values.name),
    certFile: file(values.cert),
    keyFile: file(values.key),
    broker: broker === 'plain' || broker === 'no' ? broker : 'as-page',
  };
}

type Tellings = { answer: (body: unknown) => number; away: () => number | Promise<number> };

function told(answered: Answered, { answer, away }: Tellings): number | Promise<number> {
  switch (answered.is) {
    case 'answer':
      return answer(answered.body);
    case 'refused':
      return faults([`${answered.code}: ${answered.message}`], 1);
    case 'away':
      return away();
    default:
      return answered satisfies never;
  }
}

/** Does it to the data folder of a house that does not run; a house that does holds the folder's lock. */
async function offline(dataDir: string, work: (writer: Writer) => Promise<string[]>): Promise<number> {
  let writer: Writer | null = null;
  try {
    writer = await openWriter({ dataDir });
    return print(await work(writer));
  } catch (error) {
    return faults([(error as Error).message], 1);
  } finally {
    await writer?.close();
  }
}

function mustRun(): number {
  return faults(
    [
      'HOUSE_AWAY: a house must be running on this data folder, got none. Start it with springhouse run, or give its folder with --data.',
    ],
    1,
  );
}

function print(lines: readonly string[]): number {
  process.stdout.write(`${lines.join('\n')}\n`);
  return 0;
}
