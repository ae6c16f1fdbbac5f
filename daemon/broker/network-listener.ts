/** A door of the broker to the network: plain or over TLS, for probes with keys. */
import type { Server, Socket } from 'node:net';
import { type AddressInfo, createServer } from 'node:net';
import { createServer as createSecureServer } from 'node:tls';

export type BrokerDoorOptions = {
  /** An address of this machine. */
  address: string;
  /** 0 takes a free one. */
  port: number;
  /** Certificate and key in PEM; null for a plain line. */
  tls: { cert: string; key: string } | null;
  /** Whether a peer may connect at all; asked before anything is read. */
  mayConnect: (socket: Socket) => boolean;
};

/** A door that listens. */
export type BrokerDoor = {
  url: string;
  renew(tls: { cert: string; key: string }): void;
  /** Listens no more and cuts its clients, at once; what is not answered comes again. */
  close(): Promise<void>;
};

/** Clients of one door at once; one more is closed as it comes. */
const doorClientsMax = 256;

/** How long the greeting of TLS may take. */
const greetingMsMax = 10_000;

const tlsRules = { minVersion: 'TLSv1.2', handshakeTimeout: greetingMsMax } as const;

/** Opens a door; `serve` gets each client. Rejects with the system's error where the address cannot be had. */
export async function openBrokerDoor(
  { address, port, tls, mayConnect }: BrokerDoorOptions,
  serve: (socket: Socket) => void,
): Promise<BrokerDoor> {
  const sockets = new Set<Socket>();
  const server: Server =
    tls === null
      ? createServer(serve)
      : createSecureServer({ ...tls, ...tlsRules }, (socket) => {
          // A reset is the client's affair, and the broker hears of it by the close.
          socket.on('error', () => {});
          serve(socket);
        });
  server.maxConnections = doorClientsMax;
  server.on('connection', (socket: Socket) => {
    socket.on('error', () => {});
    if (!mayConnect(socket)) return void socket.destroy();
    sockets.add(socket);
    socket.on('close', () => sockets.delete(socket));
  });
  await new Promise<void>((resolve, reject) => {
    server.once('error', reject);
    server.listen({ host: address, port }, () => {
      server.off('error', reject);
      server.on('error', () => {});
      resolve();
    });
  });
  const host = address.includes(':') ? `[${address}]` : address;
  const { port: taken } = server.address() as AddressInfo;
  return {
    url: `${tls === null ? 'mqtt' : 'mqtts'}://${host}:${taken}`,
    renew: (next) => {
      if ('setSecureContext' in server) {
        (server as ReturnType<typeof createSecureServer>).setSecureContext({ ...next, ...tlsRules });
      }
    },
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve());
        for (const socket of sockets) socket.destroy();
      }),
  };
}
