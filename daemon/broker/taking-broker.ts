import type { EventEmitter } from 'node:events';
import type { Socket } from 'node:net';
import type { Client, PublishPacket } from 'aedes';
import { Aedes } from 'aedes';
import type { TopicMapping } from '../../probes/mqtt/reading-message.ts';
import { decodeReadingMessage } from '../../probes/mqtt/reading-message.ts';
import type { Offer, SourceSink } from '../../probes/source.ts';
import { shown } from '../../probes/wire/decoded.ts';
import { type Connection, clientRules, type NetworkKeys, unansweredMax } from './client-rules.ts';
import { frameSocket } from './framed-socket.ts';
import { ownOnly } from './own-topics.ts';

export type TakingOptions = {
  /** The source's id. */
  id: string;
  house: string;
  mappings: readonly TopicMapping[];
  sink: SourceSink;
};

/** How long a connection may take to say CONNECT before it is closed. */
const connectMsMax = 5_000;

/** How long a subscriber may leave what it is sent unread before it is disconnected; others wait for it so long. */
const unreadMsMax = 2_000;

/** Messages that a client may send before it hears that it is connected; more end its connection. */
const earlyMessagesMax = 4_096;

/** The most levels that a topic may have; a deeper one ends its connection. */
const topicLevelsMax = 16;

type Done = (error?: Error) => void;

/**
 * A broker that takes readings in its publish hook, which it calls before it answers the publisher: so the
 * answer comes after the commit. A message that is refused is answered once it is counted, whatever its
 * topic, since a client that is disconnected would send it again for ever. Where a commit fails the client
 * is disconnected unanswered, and sends again; a message at QoS 0 is gone then.
 *
 * What clients publish ends in the hook: nothing of it is stored, queued for others or forwarded, so no
 * client can fill the memory or put words into the house's mouth, and no subscriber can hold up a probe.
 */
export class TakingBroker extends Aedes {
  readonly #open = new Set<Promise<void>>();
  readonly #connectionOf: (client: Client) => Connection;
  readonly #fromNetwork = new Set<Client>();
  #isTaking = true;

  constructor(options: TakingOptions) {
    const { id, house, sink } = options;
    const onStranger = (user: string) => void sink.take(strangerOffer(id, user));
    const rules = clientRules(house, onStranger);
    const { preConnect, authenticate, authorizeSubscribe, connectionOf, gone } = rules;
    super({
      connectTimeout: connectMsMax,
      drainTimeout: unreadMsMax,
      queueLimit: earlyMessagesMax,
      maxTopicLevels: topicLevelsMax,
      preConnect,
      authenticate,
      authorizeSubscribe,
      authorizePublish: (client, packet, callback) => {
        // Never called back: unacknowledged, as it must be. A message of no client would be a will.
        if (!this.#isTaking || !client) return;
        this.#answer(options, { client, packet, callback, connection: connectionOf(client) });
      },
    });
    this.#connectionOf = connectionOf;
    this.on('clientDisconnect', gone);
    (this as EventEmitter).on('error', (error: Error) => {
      options.sink.tell(options.id, { state: 'open', why: error.message });
    });
  }

  /** How many messages are taken and neither committed nor failed. */
  get openCount(): number {
    return this.#open.size;
  }

  /** Serves a client on this socket; one of the network must prove itself by `keys`. */
  serve(socket: Socket, keys: NetworkKeys | null = null): void {
    const client = this.handle(socket);
    const connection = this.#connectionOf(client);
    connection.keys = keys;
    if (keys !== null) {
      this.#fromNetwork.add(client);
      socket.once('close', () => this.#fromNetwork.delete(client));
    }
    frameSocket(socket, () => connection.unanswered < unansweredMax);
  }

  /** Cuts the clients of the network that proved to be this probe: their key is another now. */
  cut(probe: string): void {
    for (const client of this.#fromNetwork) {
      if (this.#connectionOf(client).probe === probe) client.close();
    }
  }

  /** Takes nothing more; resolves once what was taken is answered, or after `spanMs`. */
  async stopTaking(spanMs: number): Promise<void> {
    this.#isTaking = false;
    let timer: NodeJS.Timeout | undefined;
    const late = new Promise<void>((resolve) => {
      timer = setTimeout(resolve, spanMs);
    });
    await Promise.race([Promise.allSettled(this.#open), late]);
    clearTimeout(timer);
  }

  /** Publishes what the house says; what comes from a client goes no further. */
  override publish(packet: PublishPacket, fromOrDone: Client | null | Done, done?: Done): void {
    if (typeof fromOrDone === 'function') super.publish(packet, fromOrDone);
    else done?.();
  }

  #answer(options: TakingOptions, { client, packet, callback, connection }: Message): void {
    const { resumption } = connection;
    const canResend = packet.qos > 0;
    if (canResend) connection.owed += 1;
    connection.unanswered += 1;
    const resumed = resumption.isResuming(performance.now());
    this.#take(options, packet, { resumed, probe: connection.probe }).then(
      () => {
        connection.unanswered -= 1;
        // Committed after the client had gone: the answer is still owed, and the message comes again.
        if (canResend && !client.closed) connection.owed -= 1;
        resumption.ready(performance.now());
        callback();
      },
      (error: Error) => {
        connection.unanswered -= 1;
        callback(canResend ? error : null);
      },
    );
  }

  async #take(
    { id, house, mappings, sink }: TakingOptions,
    { topic, payload, dup, qos }: PublishPacket,
    { resumed, probe }: { resumed: boolean; probe: string | null },
  ): Promise<void> {
    const bytes = typeof payload === 'string' ? Buffer.from(payload) : payload;
    const message = { topic, payload: bytes, retain: false, dup, resumed };
    const decoded = decodeReadingMessage({ ...message, source: id, house, mappings });
    const own = { source: id, house, mappings, probe };
    const { readings, refusals } = probe === null ? decoded : ownOnly(decoded, topic, { ...own, probe });
    if (readings.length === 0 && refusals.length === 0) return;
    const taken = sink.take({ source: id, readings, refusals, canResend: qos > 0 });
    this.#open.add(taken);
    try {
      await taken;
    } finally {
      this.#open.delete(taken);
    }
  }
}

function strangerOffer(source: string, user: string): Offer {
  const message = `a client of the network must have the key of a probe, got user ${shown(user)}. Give the device its probe's id as user and the key as password.`;
  return {
    source,
    readings: [],
    refusals: [{ source, probe: null, code: 'BROKER_KEY', message }],
    canResend: false,
  };
}

/** A message that waits for its answer. */
type Message = {
  client: Client;
  packet: PublishPacket;
  connection: Connection;
  callback: (error?: Error | null) => void;
};
