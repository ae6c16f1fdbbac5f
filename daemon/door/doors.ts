/** The doors to the network, kept as they were asked for while addresses come and go and certificates are renewed. */
import type { DoorSettings } from '../../shared/contract/door.ts';
import { type Certificate, readCertificate } from './certificate.ts';

/** One door that listens, of the page or of the broker. */
export type Listening = {
  url: string;
  renew(tls: { cert: string; key: string }): void;
  close(): Promise<void>;
};

type Tls = { cert: string; key: string } | null;

/** What opens doors; both reject where an address cannot be had. `openBroker` is null where there is no broker. */
export type DoorMakers = {
  openPage(where: { address: string; names: readonly string[]; tls: Tls }): Promise<Listening>;
  openBroker: ((where: { address: string; tls: Tls }) => Promise<Listening>) | null;
  /** The addresses of the home network that this machine has now. */
  homeAddresses(): string[];
  nowMs(): number;
  /** Hears what is wrong at the doors, and null when nothing is. */
  onTrouble(error: Error | null): void;
};

export type Doors = {
  readonly settings: DoorSettings;
  /** Opens, changes or shuts the doors; resolves when they are as asked, as far as they can be. */
  set(settings: DoorSettings): Promise<void>;
  /** Why the certificate of these settings cannot be used; null where it can, or none is asked for. */
  certificateFault(settings: DoorSettings): Promise<string | null>;
  pages(): string[];
  brokers(): string[];
  faults(): string[];
  close(): Promise<void>;
};

/** How often addresses and the certificate are looked at again. */
export const lookAgainMs = 20_000;

/** Opens the doors as they were left. */
export async function openDoors(makers: DoorMakers, left: DoorSettings): Promise<Doors> {
  const open = new Map<string, Listening>();
  let settings = left;
  let certificate: Certificate | null = null;
  let faults: string[] = [];
  let turn: Promise<void> = Promise.resolve();
  let isClosed = false;

  const closeWhere = async (which: (key: string) => boolean) => {
    const closing = [...open].filter(([key]) => which(key));
    for (const [key] of closing) open.delete(key);
    await Promise.all(closing.map(([, door]) => door.close()));
  };

  async function look(): Promise<void> {
    faults = [];
    const tls = await certificateNow();
    const homeAddresses = addressesNow();
    const isOpen = settings.open && tls !== undefined && !isClosed;
    const wanted = isOpen ? wantedDoors(makers, settings, { tls, homeAddresses }) : [];
    await closeWhere((key) => !wanted.some((door) => door.key === key));
    for (const { key, open: make } of wanted) {
      if (open.has(key)) continue;
      try {
        open.set(key, await make());
      } catch (error) {
        faults.push(addressFault(key, error as Error));
      }
    }
    makers.onTrouble(faults.length === 0 ? null : new Error(faults.join(' ')));
  }

  /** The addresses of this machine; a system that does not tell them keeps no house from running. */
  function addressesNow(): string[] {
    if (!settings.open || settings.addresses.length > 0) return [];
    try {
      return makers.homeAddresses();
    } catch (error) {
      faults.push(
        `DOOR_ADDRESS: the addresses of this machine must be told by the system, got ${(error as Error).message}. Let the service use AF_NETLINK, or name them with --address.`,
      );
      return [];
    }
  }

  /** The certificate to use: null for none, undefined where one is asked for and none can be used. */
  async function certificateNow(): Promise<Tls | undefined> {
    const { certFile, keyFile } = settings;
    if (certFile === null || keyFile === null) {
      certificate = null;
      return null;
    }
    const read = await readCertificate({ certFile, keyFile }, makers.nowMs());
    if (!read.ok) faults.push(read.message);
    else if (read.certificate.cert !== certificate?.cert) {
      certificate = read.certificate;
      for (const door of open.values()) door.renew(certificate);
    }
    // One that was good when it was read goes on: a door that shuts by itself warns nobody.
    return certificate ?? undefined;
  }

  const inTurn = (work: () => Promise<void>) => {
    turn = turn.then(work, work);
    return turn;
  };
  const timer = setInterval(() => void inTurn(look).catch(makers.onTrouble), lookAgainMs);
  timer.unref();
  await inTurn(look);
  return {
    get settings() {
      return settings;
    },
    set: (next) =>
      inTurn(async () => {
        const isOther = JSON.stringify(next) !== JSON.stringify(settings);
        settings = next;
        if (isOther) {
          certificate = null;
          await closeWhere(() => true);
        }
        await look();
      }),
    certificateFault: async ({ certFile, keyFile }) => {
      if (certFile === null || keyFile === null) return null;
      const read = await readCertificate({ certFile, keyFile }, makers.nowMs());
      return read.ok ? null : read.message;
    },
    pages: () => urlsOf(open, 'page'),
    brokers: () => urlsOf(open, 'broker'),
    faults: () => [...faults],
    close: async () => {
      isClosed = true;
      clearInterval(timer);
      await inTurn(() => closeWhere(() => true));
    },
  };
}

type Wanted = { key: string; open: () => Promise<Listening> };

function wantedDoors(
  makers: DoorMakers,
  { addresses, names, broker }: DoorSettings,
  { tls, homeAddresses }: { tls: Tls; homeAddresses: readonly string[] },
): Wanted[] {
  const found = addresses.length > 0 ? addresses : homeAddresses;
  return found.flatMap((address) => {
    const page = { key: `page ${address}`, open: () => makers.openPage({ address, names, tls }) };
    const { openBroker } = makers;
    if (openBroker === null || broker === 'no') return [page];
    const brokerTls = broker === 'plain' ? null : tls;
    return [page, { key: `broker ${address}`, open: () => openBroker({ address, tls: brokerTls }) }];
  });
}

function urlsOf(open: ReadonlyMap<string, Listening>, kind: 'page' | 'broker'): string[] {
  return [...open].filter(([key]) => key.startsWith(kind)).map(([, { url }]) => url);
}

function addressFault(key: string, error: Error): string {
  const [kind = '', address = ''] = key.split(' ');
  return `DOOR_ADDRESS: the door of the ${kind} must be able to listen on ${address}, got ${error.message}. See that this machine has the address and that nothing else listens on the port.`;
}
