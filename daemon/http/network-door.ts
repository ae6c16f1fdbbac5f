/** Doors beside the loopback's: each a server of its own in front of the same routes. */
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import { createServer as createSecureServer } from 'node:https';
import type { AddressInfo, Socket } from 'node:net';
import type { FastifyInstance } from 'fastify';
import { cameBy, type Door, hostsOf } from './door.ts';
import { closeMsMax, connectionsMax, headBytesMax, requestMsMax, stillMsMax } from './limits.ts';
import { answerMalformed } from './refusals.ts';

/** Where and how a door of the network listens. */
export type NetworkDoorOptions = {
  /** An address of this machine. */
  address: string;
  /** 0 takes a free one. */
  port: number;
  /** Names by which browsers reach this machine, beside the address. */
  names: readonly string[];
  /** Certificate and key in PEM; null for plain HTTP. */
  tls: { cert: string; key: string } | null;
  /** Whether a peer may connect at all; asked before anything is read. */
  mayConnect: (socket: Socket) => boolean;
};

/** A door that listens. */
export type OpenDoor = {
  url: string;
  /** Takes another certificate for connections from now on; nothing where it is plain. */
  renew(tls: { cert: string; key: string }): void;
  /** Listens no more and cuts what is connected, at once. */
  close(): Promise<void>;
};

/** Opens a door of the network; rejects with the system's error where the address cannot be had. */
export async function openNetworkDoor(app: FastifyInstance, options: NetworkDoorOptions): Promise<OpenDoor> {
  const { address, port, names, tls, mayConnect } = options;
  const door: { -readonly [K in keyof Door]: Door[K] } = { kind: 'network', hosts: [], secure: tls !== null };
  const server = tls === null ? createServer(limits) : createSecureServer({ ...limits, ...tls, ...tlsRules });
  // Before anything is read, and for TLS before the costly greeting.
  server.on('connection', (socket) => {
    if (!mayConnect(socket)) socket.destroy();
  });
  serve(app, server, door);
  await listening(server, { host: address, port });
  const host = address.includes(':') ? `[${address}]` : address;
  const taken = (server.address() as AddressInfo).port;
  door.hosts = hostsOf([host, ...names], taken, door.secure);
  return {
    url: `${door.secure ? 'https' : 'http'}://${host}:${taken}`,
    renew: (next) => {
      if ('setSecureContext' in server) server.setSecureContext({ ...next, ...tlsRules });
    },
    close: () => closed(server),
  };
}

/** Opens the owner's door, a socket in the data folder that only its owner may use. */
export async function openOwnerDoor(app: FastifyInstance, path: string): Promise<OpenDoor> {
  const server = createServer(limits);
  serve(app, server, { kind: 'owner', hosts: ['localhost'], secure: false });
  await listening(server, { path });
  return { url: path, renew: () => {}, close: () => closed(server) };
}

/** TLS 1.2 at least: what phones of the last ten years speak. */
const tlsRules = { minVersion: 'TLSv1.2' } as const;

const limits = {
  maxHeaderSize: headBytesMax,
  headersTimeout: requestMsMax,
  requestTimeout: requestMsMax,
  connectionsCheckingInterval: 2_000,
};

function serve(app: FastifyInstance, server: Server, door: Door): void {
  server.maxConnections = connectionsMax;
  server.timeout = stillMsMax;
  server.on('request', (message: IncomingMessage, answer: ServerResponse) => {
    cameBy(message, door);
    app.routing(message, answer);
  });
  server.on('clientError', answerMalformed);
}

function listening(server: Server, where: { host: string; port: number } | { path: string }): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(where, () => {
      server.off('error', reject);
      // Too many open files: the connection is refused, and the door stays open.
      server.on('error', () => {});
      resolve();
    });
  });
}

function closed(server: Server): Promise<void> {
  return new Promise((resolve) => {
    const cut = setTimeout(() => server.closeAllConnections(), closeMsMax);
    server.close(() => {
      clearTimeout(cut);
      resolve();
    });
    server.closeIdleConnections();
  });
}
