/** What a client of the embedded broker may do beside publishing readings, and what is known of its session. */
import type { AedesOptions, Client } from 'aedes';
import { createResumption, type Resumption } from '../../probes/mqtt/resumption.ts';

/** The longest topic filter that may be subscribed to, in characters; a longer one is refused. */
export const filterCharsMax = 256;

/** The most topic filters that one connection may name; more are refused. */
export const filtersMax = 64;

/**
 * Messages of one client that are taken and not yet committed; from there on nothing more is read from its
 * socket, so it is slowed, not refused. A read that was begun below may bring more: what 64 KB can hold.
 */
export const unansweredMax = 256;

/** Client ids of which it is remembered whether they were left without an answer; the oldest is forgotten. */
export const rememberedClientsMax = 1_024;

/**
 * Returns whether a client may subscribe to this filter: only to the house's own topics, `named` being those
 * that its connection named before. Refused is said by the return code 0x80 (MQTT 3.1.1 §3.9.3).
 */
export function maySubscribe(house: string, filter: string, named: ReadonlySet<string>): boolean {
  const isOwn = filter.startsWith(`springhouse/${house}/`) && filter.length <= filterCharsMax;
  return isOwn && (named.has(filter) || named.size < filtersMax);
}

/** What is known of one connection. */
export type Connection = {
  /** Whether what it sends now may have waited. */
  resumption: Resumption;
  /** How many messages of it are taken and neither committed nor failed. */
  unanswered: number;
  /** How many messages of it that can be sent again were taken and not answered. */
  owed: number;
  filters: Set<string>;
};

export type ClientRules = Required<Pick<AedesOptions, 'preConnect' | 'authorizeSubscribe'>> & {
  connectionOf(client: Client): Connection;
  /** Says that a client has gone. */
  gone(client: Client): void;
};

/**
 * Returns the hooks by which the embedded broker keeps nothing for a client: its session is clean, its will
 * is dropped (a dying client measures nothing), its filters are few.
 *
 * What a client sends first may have waited where it asks to resume a session, and where its last connection
 * was left without an answer: it will send that again, and not every client marks it as sent before.
 */
export function clientRules(house: string): ClientRules {
  const connections = new WeakMap<Client, Connection>();
  const lastOf = new Map<string, Connection>();
  const connectionOf = (client: Client): Connection => {
    const known = connections.get(client);
    if (known) return known;
    const fresh = {
      resumption: createResumption(false, 0),
      unanswered: 0,
      owed: 0,
      filters: new Set<string>(),
    };
    connections.set(client, fresh);
    return fresh;
  };
  const remember = (clientId: string, connection: Connection) => {
    lastOf.delete(clientId);
    lastOf.set(clientId, connection);
    const [oldest] = lastOf.keys();
    if (lastOf.size > rememberedClientsMax && oldest !== undefined) lastOf.delete(oldest);
  };
  return {
    preConnect(client, packet, callback) {
      const connection = connectionOf(client);
      const isLeftWaiting = (lastOf.get(packet.clientId)?.owed ?? 0) > 0;
      connection.resumption = createResumption(packet.clean === false || isLeftWaiting, performance.now());
      if (packet.clientId !== '') remember(packet.clientId, connection);
      packet.clean = true;
      delete packet.will;
      callback(null, true);
    },
    authorizeSubscribe(client, subscription, callback) {
      const { filters } = connectionOf(client);
      if (!maySubscribe(house, subscription.topic, filters)) return callback(null, null);
      filters.add(subscription.topic);
      callback(null, subscription);
    },
    connectionOf,
    gone(client) {
      const connection = connectionOf(client);
      if (connection.owed === 0 && lastOf.get(client.id) === connection) lastOf.delete(client.id);
    },
  };
}
