import { chmod, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { checkHouse } from '../../../daemon/config/check-house.ts';
import { demoHouse } from '../../../daemon/config/demo-house.ts';
import { readEnvironment } from '../../../daemon/config/environment.ts';
import { readHouse } from '../../../daemon/config/read-house.ts';
import { readAuthority, readSecret } from '../../../daemon/config/secret.ts';
import { larkfell } from '../../../probes/simulated/larkfell.ts';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'springhouse-config-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

async function fileWith(name: string, content: string | Uint8Array, mode = 0o640): Promise<string> {
  const path = join(folder, name);
  await writeFile(path, content);
  await chmod(path, mode);
  return path;
}

describe('checkHouse', () => {
  it('says in one line what a house in order holds', async () => {
    expect(await checkHouse('deploy/springhouse.example.yaml')).toEqual({
      exitCode: 0,
      text: 'deploy/springhouse.example.yaml is in order: Larkfell at 4,659\u00a0ft, 5 probes, 5 places, 2 vessels, 4 wires, milk under 40.0\u00a0°F within 1 hour.\n',
    });
  });

  it('lists every fault, then how many there are', async () => {
    const path = await fileWith(
      'bad.yaml',
      'version: 1\nhouse: {name: L, height: 1 m, zone: UTC, unit: F}\n',
    );
    expect(await checkHouse(path)).toEqual({
      exitCode: 1,
      text: [
        `HOUSE_MISSING: house.units must be one of F, C, got nothing (${path}:2:8). Choose one of these words.`,
        `HOUSE_UNKNOWN: house.unit must be a field of the house file, got an unknown one (${path}:2:42). Did you mean units? The fields here are name, height, zone, units.`,
        `2 faults in ${path}.`,
        '',
      ].join('\n'),
    });
  });

  it('says when there is no file, or none that is text', async () => {
    const advice =
      'Give the path of the house file with --house, and see that this user may read it. An example is deploy/springhouse.example.yaml.';
    const binary = await fileWith('binary.yaml', new Uint8Array([0x76, 0xff, 0xfe]));
    const nowhere = join(folder, 'nowhere.yaml');
    expect([await checkHouse(nowhere), await checkHouse(folder), await checkHouse(binary)]).toEqual([
      {
        exitCode: 1,
        text: `HOUSE_FILE: ${nowhere} must be a file that can be read, got none there (${nowhere}:1:1). ${advice}\n1 fault in ${nowhere}.\n`,
      },
      {
        exitCode: 1,
        text: `HOUSE_FILE: ${folder} must be a file that can be read, got a folder (${folder}:1:1). ${advice}\n1 fault in ${folder}.\n`,
      },
      {
        exitCode: 1,
        text: `HOUSE_FILE: ${binary} must be UTF-8 text, got other bytes (${binary}:1:1). ${advice}\n1 fault in ${binary}.\n`,
      },
    ]);
  });

  it('gives the folder that relative paths count from', async () => {
    const path = await fileWith(
      'good.yaml',
      'version: 1\nhouse: {name: L, height: 1 m, zone: UTC, units: F}\n',
    );
    expect(await readHouse(path)).toMatchObject({ ok: true, folder });
  });
});

describe('demoHouse', () => {
  it('has the very probes that are simulated, each in its place and vessel', () => {
    const { house, places, vessels, probes } = demoHouse();
    const told = probes.map(({ id, name, place, vessel }) => {
      const holds = vessels.find((one) => one.id === vessel);
      const { id: placeId, name: placeName, kind } = places.find((one) => one.id === place) ?? { id: null };
      return {
        id,
        name,
        place: { id: placeId, name: placeName, kind },
        vessel:
          holds === undefined ? null : { name: holds.name, volumeL: holds.volumeL, material: holds.material },
      };
    });
    expect(told).toEqual(larkfell.probes.map(({ intervalMs: _, ...probe }) => probe));
    expect([house.name, house.heightM]).toEqual([larkfell.name, larkfell.heightM]);
  });
});

describe('readEnvironment', () => {
  it('takes what is set, and folders of the user where nothing is', () => {
    expect(
      readEnvironment({ SPRINGHOUSE_DATA: '/d/', SPRINGHOUSE_HOUSE: '/h.yaml', STATE_DIRECTORY: '/s' }),
    ).toEqual({
      houseFile: '/h.yaml',
      dataDir: '/d/',
      notifySocket: null,
      watchdogMs: null,
    });
    const bySystemd = { NOTIFY_SOCKET: '/run/systemd/notify', WATCHDOG_USEC: '30000000' };
    expect(
      readEnvironment({ STATE_DIRECTORY: '/var/lib/springhouse', SPRINGHOUSE_DATA: '', ...bySystemd }),
    ).toEqual({
      houseFile: 'springhouse.yaml',
      dataDir: '/var/lib/springhouse',
      notifySocket: '/run/systemd/notify',
      watchdogMs: 30_000,
    });
    expect(readEnvironment({ XDG_DATA_HOME: '/x' }).dataDir).toBe('/x/springhouse');
  });
});

describe('readSecret', () => {
  const none = { sourceId: 'yard', passwordFile: null, passwordEnv: null, folder: '' };

  it('reads a file beside the house file without its last line end', async () => {
    await fileWith('password', 'hunter2 \n');
    expect(await readSecret({ ...none, passwordFile: 'password', folder })).toEqual({
      ok: true,
      secret: 'hunter2 ',
    });
    expect(await readSecret(none)).toEqual({ ok: true, secret: null });
  });

  it('refuses a file that others may read, an empty and a missing one', async () => {
    const open = await fileWith('open', 'hunter2', 0o644);
    const empty = await fileWith('empty', '\n');
    const gone = join(folder, 'gone');
    const advice = 'Put the password in a file, chmod 640, and name it in passwordFile, or set the variable.';
    const messages = await Promise.all(
      [open, empty, gone].map((passwordFile) => readSecret({ ...none, passwordFile, folder })),
    );
    expect(messages).toEqual([
      {
        ok: false,
        message: `HOUSE_SECRET: passwordFile of source yard must be a file closed to others than its owner and group, got ${JSON.stringify(open)} with mode 644. ${advice}`,
      },
      {
        ok: false,
        message: `HOUSE_SECRET: passwordFile of source yard must be a file with the password in it, got an empty one. ${advice}`,
      },
      {
        ok: false,
        message: `HOUSE_SECRET: passwordFile of source yard must be a file that this user may read, got ${JSON.stringify(gone)}. ${advice}`,
      },
    ]);
  });

  it('refuses a variable that is not set', async () => {
    expect(await readSecret({ ...none, passwordEnv: 'SPRINGHOUSE_NOT_SET' })).toEqual({
      ok: false,
      message:
        'HOUSE_SECRET: passwordEnv of source yard must be a variable that is set, got SPRINGHOUSE_NOT_SET without a value. Put the password in a file, chmod 640, and name it in passwordFile, or set the variable.',
    });
  });
});

describe('readAuthority', () => {
  it('reads a certificate, and refuses what is none', async () => {
    const pem = '-----BEGIN CERTIFICATE-----\nMIIB\n-----END CERTIFICATE-----\n';
    await fileWith('ca.pem', pem, 0o644);
    await fileWith('ca.txt', 'hello', 0o644);
    expect(await readAuthority({ owner: 'source yard', caFile: 'ca.pem', folder })).toEqual({
      ok: true,
      pem,
    });
    expect(await readAuthority({ owner: 'source yard', caFile: null, folder })).toEqual({
      ok: true,
      pem: null,
    });
    expect(await readAuthority({ owner: 'source yard', caFile: 'ca.txt', folder })).toEqual({
      ok: false,
      message: `HOUSE_FILE: caFile of source yard must be a certificate in PEM that this user may read, got ${JSON.stringify(join(folder, 'ca.txt'))}. Give the path of the authority's certificate, or leave caFile out.`,
    });
  });
});
