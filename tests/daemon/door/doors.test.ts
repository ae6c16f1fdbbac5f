import { chmod, copyFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { endsSoon, readCertificate } from '../../../daemon/door/certificate.ts';
import { doorPaper } from '../../../daemon/door/door-paper.ts';
import { type DoorMakers, openDoors } from '../../../daemon/door/doors.ts';
import { qrLines, qrRows } from '../../../daemon/door/qr.ts';
import { type OpenedView, shutDoor } from '../../../shared/contract/door.ts';
import { tempFolder } from '../sqlite/temp-folder.ts';

const tls = 'tests/probes/mqtt/tls';

async function pemFiles() {
  const folder = tempFolder();
  const files = { certFile: join(folder, 'cert.pem'), keyFile: join(folder, 'key.pem') };
  await copyFile(`${tls}/loopback-cert.pem`, files.certFile);
  await copyFile(`${tls}/loopback-key.pem`, files.keyFile);
  await chmod(files.keyFile, 0o640);
  return files;
}

/** Doors that only note what was opened and closed. */
function notedMakers() {
  const notes: string[] = [];
  const world = { addresses: ['192.168.1.20'], taken: '' };
  const make =
    (kind: string) =>
    async ({ address, tls: given }: { address: string; tls: object | null }) => {
      if (world.taken === address) throw new Error('EADDRINUSE');
      const name = `${given === null ? '' : 'tls '}${kind} ${address}`;
      notes.push(`open ${name}`);
      return {
        url: name,
        renew: () => void notes.push(`renew ${name}`),
        close: async () => void notes.push(`close ${name}`),
      };
    };
  const troubles: (string | null)[] = [];
  const makers: DoorMakers = {
    openPage: make('page'),
    openBroker: make('broker'),
    homeAddresses: () => world.addresses,
    nowMs: Date.now,
    onTrouble: (error) => troubles.push(error?.message ?? null),
  };
  return { makers, notes, world, troubles };
}

it('opens page and broker on each address of the home network, and follows as addresses change', async () => {
  const { makers, notes, world } = notedMakers();
  const doors = await openDoors(makers, shutDoor);
  expect(notes).toEqual([]);
  const open = { ...shutDoor, open: true };
  await doors.set(open);
  world.addresses = ['192.168.1.99'];
  await doors.set(open);
  expect(notes.splice(0)).toEqual([
    'open page 192.168.1.20',
    'open broker 192.168.1.20',
    'close page 192.168.1.20',
    'close broker 192.168.1.20',
    'open page 192.168.1.99',
    'open broker 192.168.1.99',
  ]);
  await doors.set({ ...open, broker: 'no' });
  await doors.set({ ...open, open: false });
  expect(notes).toEqual([
    'close page 192.168.1.99',
    'close broker 192.168.1.99',
    'open page 192.168.1.99',
    'close page 192.168.1.99',
  ]);
  await doors.close();
});

it('tells an address that cannot be had, and opens the others', async () => {
  const { makers, troubles, world } = notedMakers();
  world.addresses = ['192.168.1.20', '10.0.0.2'];
  world.taken = '192.168.1.20';
  const doors = await openDoors(makers, { ...shutDoor, open: true, broker: 'no' });
  expect([doors.pages(), doors.faults().length]).toEqual([['page 10.0.0.2'], 1]);
  expect(troubles.at(-1)).toMatch(
    /^DOOR_ADDRESS: the door of the page must be able to listen on 192\.168\.1\.20, got EADDRINUSE/,
  );
  await doors.close();
});

it('stays shut, and says why, where the system does not tell its addresses', async () => {
  const { makers, notes, troubles } = notedMakers();
  const homeAddresses = () => {
    throw new Error('EAFNOSUPPORT');
  };
  const doors = await openDoors({ ...makers, homeAddresses }, { ...shutDoor, open: true });
  expect([notes, troubles.at(-1)]).toEqual([[], expect.stringContaining('got EAFNOSUPPORT')]);
  await doors.close();
});

it('opens with a certificate, never without one that was asked for, and goes on with the last good one', async () => {
  const { makers, notes } = notedMakers();
  const files = await pemFiles();
  const open = { ...shutDoor, open: true, ...files };
  const doors = await openDoors(makers, open);
  expect(notes.splice(0)).toEqual(['open tls page 192.168.1.20', 'open tls broker 192.168.1.20']);
  await writeFile(files.certFile, 'no certificate');
  await doors.set(open);
  expect([notes, doors.pages().length, doors.faults()[0]]).toEqual([
    [],
    1,
    expect.stringMatching(/^DOOR_CERTIFICATE/),
  ]);
  await doors.close();
  notes.splice(0);
  const shut = await openDoors(makers, open);
  expect([notes, shut.pages()]).toEqual([[], []]);
  await shut.close();
});

it('reads a certificate with its key, and says what is wrong with another', async () => {
  const files = await pemFiles();
  const nowMs = Date.now();
  const read = await readCertificate(files, nowMs);
  if (!read.ok) throw new Error(read.message);
  expect(read.certificate.names).toContain('127.0.0.1');
  expect([endsSoon(read.certificate.untilMs, nowMs), endsSoon(nowMs + 86_400_000, nowMs)]).toEqual([
    false,
    true,
  ]);
  const faultOf = async (more: Partial<typeof files>, atMs = nowMs) => {
    const got = await readCertificate({ ...files, ...more }, atMs);
    return got.ok ? null : got.message;
  };
  expect(await faultOf({ certFile: '/nowhere' })).toContain('must be a PEM file that this user may read');
  expect(await faultOf({}, read.certificate.untilMs + 1)).toContain('must be valid today');
  await chmod(files.keyFile, 0o644);
  expect(await faultOf({})).toContain('with mode 644');
});

it('draws a code with its finders, dark on light, within a quiet zone of four modules', () => {
  // ISO/IEC 18004 §6.3.3: a finder is 7 × 7, in three corners; version 1 has 21 modules, each next 4 more.
  const rows = qrRows('http://192.168.1.20:7340/#pair=ABCD-EFGH');
  expect((rows.length - 21) % 4).toBe(0);
  const finder = ['#######', '#.....#', '#.###.#', '#.###.#', '#.###.#', '#.....#', '#######'];
  expect(rows.slice(0, 7).map((row) => row.slice(0, 7))).toEqual(finder);
  expect(rows.slice(0, 7).map((row) => row.slice(-7))).toEqual(finder);
  expect(rows.slice(-7).map((row) => row.slice(0, 7))).toEqual(finder);
  const lines = qrLines(rows);
  expect(lines.length).toBe(Math.ceil((rows.length + 8) / 2));
  expect(lines[0]).toBe(`\u001b[30;107m${' '.repeat(rows.length + 8)}\u001b[0m`);
});

it('prints where to go, the code and the keys, and warns where nothing is encrypted', () => {
  const opened: OpenedView = {
    v: 1,
    pages: ['http://192.168.1.20:7340'],
    brokers: ['mqtt://192.168.1.20:1883'],
    house: 'larkfell-7q2m',
    secure: false,
    pairing: {
      v: 1,
      code: 'ABCD-EFGH',
      url: 'http://192.168.1.20:7340/#pair=ABCD-EFGH',
      goodUntilMs: 0,
      qr: qrRows('x'),
    },
    keys: [{ probe: 'jar', password: 'secret-of-the-jar' }],
    faults: [],
  };
  const text = doorPaper(opened, { isTerminal: false }).join('\n');
  for (const part of [
    'http://192.168.1.20:7340/',
    'mqtt://192.168.1.20:1883  topic springhouse/larkfell-7q2m/reading/<probe>',
    'jar  secret-of-the-jar',
    'code  ABCD-EFGH',
    'not encrypted',
  ]) {
    expect(text).toContain(part);
  }
  expect(text).not.toContain('▀');
  expect(doorPaper({ ...opened, secure: true }, { isTerminal: true }).join('\n')).toContain('▀');
});
