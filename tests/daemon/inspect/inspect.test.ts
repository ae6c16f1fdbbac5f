import { chmod, mkdir, writeFile } from 'node:fs/promises';
import { type AddressInfo, createServer } from 'node:net';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { findingLines } from '../../../daemon/inspect/finding.ts';
import {
  inspectBroker,
  inspectClock,
  inspectDisk,
  inspectOnewire,
  inspectSerial,
} from '../../../daemon/inspect/machine.ts';
import { inspectDoors, inspectHealth, inspectProbes, inspectWays } from '../../../daemon/inspect/running.ts';
import { jar, well } from '../http/house-in-memory.ts';
import { tempFolder } from '../sqlite/temp-folder.ts';

const states = (findings: readonly { state: string }[]) => findings.map(({ state }) => state);

it('says of a serial line whether it is there and may be used', async () => {
  const path = join(tempFolder(), 'ttyUSB0');
  expect(await inspectSerial('bench', path)).toMatchObject({ state: 'wrong', says: `there is no ${path}` });
  await writeFile(path, '');
  expect(await inspectSerial('bench', path)).toMatchObject({ state: 'well' });
  await chmod(path, 0o444);
  // Root may write whatever the mode says.
  const state = process.getuid?.() === 0 ? 'well' : 'wrong';
  expect(await inspectSerial('bench', path)).toMatchObject({ state });
});

it('names one-wire sensors that are not there', async () => {
  const folder = tempFolder();
  await mkdir(join(folder, '28-000000000001'));
  expect(await inspectOnewire('w1', folder, ['28-000000000001'])).toMatchObject({ state: 'well' });
  expect(await inspectOnewire('w1', folder, ['28-000000000002'])).toMatchObject({
    state: 'wrong',
    says: 'not there: 28-000000000002',
  });
  expect(await inspectOnewire('w1', join(folder, 'none'), [])).toMatchObject({ state: 'wrong' });
});

it('looks at the disk and the clock', async () => {
  expect((await inspectDisk(tempFolder())).state).not.toBe('wrong');
  expect(await inspectDisk('/nowhere/at/all')).toMatchObject({ state: 'wrong' });
  expect(
    [
      inspectClock(true, 'synchronised'),
      inspectClock(false, 'synchronised'),
      inspectClock(false, 'always'),
    ].map(({ state }) => state),
  ).toEqual(['well', 'look', 'look']);
});

it('tries whether a broker elsewhere takes connections', async () => {
  const server = createServer((socket) => socket.destroy());
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const url = `mqtt://127.0.0.1:${(server.address() as AddressInfo).port}`;
  expect(await inspectBroker('yard', url)).toMatchObject({ state: 'well' });
  await new Promise((resolve) => server.close(resolve));
  expect(await inspectBroker('yard', url)).toMatchObject({
    state: 'wrong',
    says: expect.stringContaining('ECONNREFUSED'),
  });
});

it('reads off a running house what ails it', () => {
  expect(states(inspectHealth(well))).toEqual(['well', 'well']);
  const ill = {
    ...well,
    ok: false,
    faults: ['DISK_FULL: no room'],
    sources: [{ id: 'bench', state: 'waiting' as const, why: 'unplugged' }],
  };
  expect(states(inspectHealth(ill))).toEqual(['wrong', 'look', 'wrong']);
  const refused = { ...jar, counts: { ...jar.counts, refused: 2 } };
  expect(
    states(inspectProbes([jar, refused, { ...jar, state: 'silent' }, { ...jar, state: 'never-heard' }])),
  ).toEqual(['well', 'look', 'wrong', 'wrong']);
  const way = {
    v: 1 as const,
    id: 'mail',
    kind: 'email' as const,
    leadsTo: '',
    receivers: [],
    provedAtMs: null,
    failingSinceMs: null,
    fault: null,
    waiting: 0,
  };
  expect(
    states(inspectWays({ v: 1, ways: [way, { ...way, failingSinceMs: 1 }], receivers: [], proved: false })),
  ).toEqual(['look', 'wrong', 'look']);
  const shut = {
    v: 1 as const,
    pages: [],
    brokers: [],
    house: 'h',
    secure: false,
    pairing: null,
    keys: [],
    faults: [],
  };
  expect(states(inspectDoors(shut, []))).toEqual(['well']);
  expect(states(inspectDoors({ ...shut, pages: ['http://192.168.1.4:7340'] }, []))).toEqual([
    'well',
    'look',
    'look',
  ]);
});

it('prints what to do under what it is about', () => {
  expect(
    findingLines([
      { thing: 'disk', state: 'look', says: 'little room', doThis: 'Free some.' },
      { thing: 'probe jar', state: 'well', says: 'heard', doThis: '' },
    ]),
  ).toEqual(['look   disk       little room', '                  Free some.', 'well   probe jar  heard']);
});
