/** The doors of a house: who may come in by them, and what its owner may do about them. Wiring. */
import { chmod, rm } from 'node:fs/promises';
import { networkInterfaces } from 'node:os';
import { join } from 'node:path';
import type { DoorSettings, OpenedView, PairingView } from '../shared/contract/door.ts';
import type { EmbeddedBroker } from './broker/embedded-broker.ts';
import type { House } from './config/house-file.ts';
import { type Doors, openDoors } from './door/doors.ts';
import { homeAddressesOf } from './door/home-addresses.ts';
import { qrRows } from './door/qr.ts';
import { settingsFault } from './door/settings-fault.ts';
import { visitorRule } from './door/visitors.ts';
import type { HousePeople } from './house-people.ts';
import type { OwnerDesk, PeopleDesk, PeopleFault } from './http/people-desk.ts';
import type { HttpServer } from './http/server.ts';
import type { Troubles } from './troubles.ts';

export type HouseDoorsOptions = {
  house: House;
  id: string;
  dataDir: string;
  household: HousePeople;
  nowMs: () => number;
  troubles: Pick<Troubles, 'note'>;
};

export type HouseDoors = {
  people: PeopleDesk;
  owner: OwnerDesk;
  /** Opens the doors as they were left, once page and broker are there. */
  start(served: { http: HttpServer; broker: EmbeddedBroker | null }): Promise<void>;
  close(): Promise<void>;
};

/** The socket by which the owner's commands reach a running house. */
export function ownerSocketOf(dataDir: string): string {
  return join(dataDir, 'owner.sock');
}

/** The longest path that a socket may have (unix(7): 108 bytes with the one that ends it). */
const socketPathBytesMax = 107;

/** Makes the doors; none is open before `start`. */
export function createHouseDoors(options: HouseDoorsOptions): HouseDoors {
  const { house, id, household, nowMs, troubles } = options;
  const { people, keys } = household;
  let doors: Doors | null = null;
  const closers: (() => Promise<void>)[] = [];

  const pageUrls = (): string[] => {
    const [first] = doors?.pages() ?? [];
    if (doors === null || first === undefined) return [];
    const named = doors.settings.names.map((name) => {
      const url = new URL(first);
      url.hostname = name;
      return url.origin;
    });
    return [...named, ...doors.pages()];
  };
  const pairing = (person: string | null): PairingView | PeopleFault => {
    const made = people.makeCode({ person });
    if ('message' in made) return made;
    const [page] = pageUrls();
    const url = page === undefined ? '' : `${page}/#pair=${made.code}`;
    return { v: 1, ...made, url, qr: url === '' ? [] : qrRows(url) };
  };
  const opened = (withCode: boolean, made: OpenedView['keys'] = []): OpenedView => {
    const code = withCode ? pairing(null) : null;
    return {
      v: 1,
      pages: pageUrls(),
      brokers: doors?.brokers() ?? [],
      house: id,
      secure: doors?.settings.certFile != null,
      pairing: code === null || 'message' in code ? null : code,
      keys: made,
      faults: doors?.faults() ?? [],
    };
  };
  const change = async (settings: DoorSettings): Promise<void> => {
    await household.keepSettings(settings);
    await doors?.set(settings);
  };
  return {
    people: { ...people, isOpen: () => doors?.settings.open ?? household.settings.open, pairing },
    owner: {
      open: async (settings) => {
        const fault = settingsFault(settings) ?? (await doors?.certificateFault(settings)) ?? null;
        if (fault !== null) return asFault(fault);
        await change({ ...settings, open: true });
        const made = [];
        for (const probe of settings.broker === 'no' ? [] : keyless(house, household)) {
          made.push({ probe, password: await keys.make(probe) });
        }
        return opened(true, made);
      },
      shut: async () => {
        if (doors !== null) await change({ ...doors.settings, open: false });
      },
      opened: (withCode) => opened(withCode),
      key: async (probe, revoke) => {
        if (!house.probes.some((each) => each.id === probe) && !revoke) return unknownProbe(probe);
        if (!revoke) return keys.make(probe);
        return (await keys.revoke(probe)) ? null : unknownProbe(probe);
      },
    },
    start: async ({ http, broker }) => {
      const pagePort = Number(new URL(http.url).port || 80);
      const [pageVisitors, brokerVisitors] = [visitorRule(), visitorRule()];
      doors = await openDoors(
        {
          openPage: (where) => http.openNetwork({ ...where, port: pagePort, mayConnect: pageVisitors }),
          openBroker:
            broker === null
              ? null
              : (where) =>
                  broker.openNetwork({
                    ...where,
                    port: brokerPort(broker, house),
                    mayConnect: brokerVisitors,
                  }),
          homeAddresses: () => homeAddressesOf(networkInterfaces()),
          nowMs,
          onTrouble: (error) => troubles.note('doors', error),
        },
        household.settings,
      );
      closers.push(doors.close);
      closers.push(await openOwnersDoor(options, http));
    },
    close: async () => {
      for (const closer of closers.splice(0).reverse()) await closer();
    },
  };
}

/** The socket of the owner's commands; a house whose data folder cannot have one runs without. */
async function openOwnersDoor(
  { dataDir, troubles }: HouseDoorsOptions,
  http: HttpServer,
): Promise<() => Promise<void>> {
  const path = ownerSocketOf(dataDir);
  try {
    if (Buffer.byteLength(path) > socketPathBytesMax) throw new Error(`${Buffer.byteLength(path)} bytes`);
    // The folder's lock is ours, so what lies there was left by a run that ended.
    await rm(path, { force: true });
    const door = await http.openOwner(path);
    await chmod(path, 0o600);
    return async () => {
      await door.close();
      await rm(path, { force: true });
    };
  } catch (error) {
    const got = (error as Error).message;
    troubles.note(
      'owner',
      new Error(
        `DOOR_SOCKET: ${path} must be able to be a socket with a path of at most ${socketPathBytesMax} bytes, got ${got}. Choose another data folder, or stop the house before you open or shut it.`,
      ),
    );
    return async () => {};
  }
}

/** The port of the broker; that of the house file where it waits for it to be free. */
function brokerPort(broker: EmbeddedBroker, house: House): number {
  const url = broker.url();
  return url === null ? (house.broker?.port ?? 0) : Number(new URL(url).port);
}

/** Probes that are heard by the house's own broker and have no key yet. */
function keyless({ probes, broker }: House, { keys }: HousePeople): string[] {
  if (broker === null) return [];
  const known = new Set(keys.list().map(({ probe }) => probe));
  return probes
    .filter(({ id, source }) => (source === null || source === 'broker') && !known.has(id))
    .map(({ id }) => id);
}

function asFault(text: string): PeopleFault {
  const [, code = 'DOOR_SETTING', message = text] = /^([A-Z_]+): (.*)$/s.exec(text) ?? [];
  return { code: code === 'DOOR_CERTIFICATE' ? 'DOOR_CERTIFICATE' : 'DOOR_SETTING', message };
}

function unknownProbe(probe: string): PeopleFault {
  return {
    code: 'DOOR_UNKNOWN',
    message: `the probe must be one of the house file, and one with a key where it is revoked, got ${probe}. springhouse probes lists them.`,
  };
}
