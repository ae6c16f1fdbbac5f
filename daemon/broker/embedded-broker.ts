import type { Server, Socket } from 'node:net';
import { createServer } from 'node:net';
import type { TopicMapping } from '../../probes/mqtt/reading-message.ts';
import { againIn, createRetry, type RetryWaits, usualWaits } from '../../probes/retry.ts';
import type { Source, SourceSink } from '../../probes/source.ts';
import type { NetworkKeys } from './client-rules.ts';
import { type BrokerDoor, type BrokerDoorOptions, openBrokerDoor } from './network-listener.ts';
import { outPump } from './out-pump.ts';
import { aliveMessage } from './out-topics.ts';
import type { Publisher } from './publisher.ts';
import { TakingBroker } from './taking-broker.ts';

/** Clients at once; one more is closed as it comes, and may come again. */
export const brokerClientsMax = 256;

/**
 * Messages that leave at once: one, for the library drops for each subscriber a message that a later one has
 * overtaken, and those that are kept for newcomers are slower than others.
 */
const leavingMessagesMax = 1;

/** How long what was taken may take to be committed at `close`; then it stays unacknowledged. */
const answerMsMax = 300;

/** How long the last messages may take to leave at `close`. */
const leaveMsMax = 200;

export type EmbeddedBrokerOptions = {
  /** The source's id. */
  id: string;
  house: string;
  /** A loopback address or `localhost`; another is a fault. */
  host: string;
  /** 0 takes a free port. */
  port: number;
  /** Foreign topics on which readings are taken too. */
  mappings?: readonly TopicMapping[];
  /** The keys of probes of the network; without them none is let in there. */
  keys?: NetworkKeys;
  /** How long to wait where the port is taken; `usualWaits` where absent. */
  waits?: RetryWaits;
};

/**
 * The broker inside the daemon: a source, since probes publish to it, and a publisher. It speaks MQTT 3.1
 * and 3.1.1; a client of MQTT 5 is answered with CONNACK 1 (unacceptable protocol version). It keeps
 * neither a session nor a will. A port that is taken is told as `waiting` and tried again.
 */
export type EmbeddedBroker = Source &
  Publisher & {
    /** Where clients connect; null while it does not listen. */
    url(): string | null;
    /** Opens a door to the network, for probes that prove themselves by `keys`; close it before the broker. */
    openNetwork(options: BrokerDoorOptions): Promise<BrokerDoor>;
    /** How many messages are taken and not yet answered. */
    unanswered(): number;
  };

/** Returns an embedded broker that does not listen yet; throws `BROKER_HOST` or `BROKER_HOUSE` on a fault. */
export function createEmbeddedBroker(options: EmbeddedBrokerOptions): EmbeddedBroker {
  refuseFaults(options);
  const { id, house, waits = usualWaits } = options;
  const { keys = noKeys } = options;
  keys.onChanged((probe) => broker?.cut(probe));
  const retry = createRetry(waits);
  const sockets = new Set<Socket>();
  let broker: TakingBroker | undefined;
  let sink: SourceSink | undefined;
  let closed: Promise<void> | undefined;
  const pump = outPump(({ topic, payload, retain, qos }, done) => {
    broker?.publish({ cmd: 'publish', topic, payload, retain, qos, dup: false }, done);
  }, leavingMessagesMax);
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.on('close', () => sockets.delete(socket));
    // A reset is the client's affair, and the broker hears of it by the close.
    socket.on('error', () => {});
    broker?.serve(socket);
  });
  server.maxConnections = brokerClientsMax;
  const listen = async () => {
    const why = await tryListening(server, options);
    if (closed) return;
    if (why === null) sink?.tell(id, { state: 'open', why: `listening at ${urlOf(server)}` });
    else sink?.tell(id, { state: 'waiting', why: `${why}, ${againIn(retry.later(listen))}` });
  };
  const sayFarewell = async (serving: TakingBroker) => {
    await serving.stopTaking(answerMsMax);
    pump.publish(aliveMessage(house, false));
    await pump.empty(leaveMsMax);
    await new Promise<void>((resolve) => serving.close(resolve));
  };
  const shut = async () => {
    retry.stop();
    server.close();
    if (broker) await sayFarewell(broker);
    pump.stop();
    for (const socket of sockets) socket.destroy();
    sink?.tell(id, { state: 'closed', why: 'closed' });
  };
  return {
    id,
    async open(given) {
      sink = given;
      broker = new TakingBroker({ id, house, sink, mappings: options.mappings ?? [] });
      await broker.listen();
      pump.publish(aliveMessage(house, true));
      pump.setOpen(true);
      await listen();
    },
    close() {
      closed ??= shut();
      return closed;
    },
    publish: pump.publish,
    dropped: pump.dropped,
    url: () => urlOf(server),
    openNetwork: (door) => openBrokerDoor(door, (socket) => broker?.serve(socket, keys)),
    unanswered: () => broker?.openCount ?? 0,
  };
}

const noKeys: NetworkKeys = { fits: () => false, onChanged: () => {} };

function refuseFaults({ id, house, host }: EmbeddedBrokerOptions): void {
  if (!['127.0.0.1', '::1', 'localhost'].includes(host)) {
    throw new Error(
      `BROKER_HOST: the host of source ${id} must be 127.0.0.1, ::1 or localhost, got ${host}. Choose one of these.`,
    );
  }
  if (house === '' || /[+#/\0]/.test(house)) {
    throw new Error(
      `BROKER_HOUSE: the house of source ${id} must be a topic level without "/", "+" and "#", got ${JSON.stringify(house)}. Give the house such an id.`,
    );
  }
}

/** Resolves null once the server listens, else with the reason why it can't. */
function tryListening(server: Server, { host, port }: EmbeddedBrokerOptions): Promise<string | null> {
  return new Promise((resolve) => {
    const failed = (error: Error) => resolve(error.message);
    server.once('error', failed);
    server.listen({ host, port }, () => {
      server.off('error', failed);
      // Too many open files: the connection is refused, and the server goes on listening.
      server.on('error', () => {});
      resolve(null);
    });
  });
}

function urlOf(server: Server): string | null {
  const address = server.address();
  if (address === null || typeof address === 'string') return null;
  const host = address.family === 'IPv6' ? `[${address.address}]` : address.address;
  return `mqtt://${host}:${address.port}`;
}
