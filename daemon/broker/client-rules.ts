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

/** What the broker asks of the keys by which probes of the network prove themselves. */
export type NetworkKeys = {
  /** Returns whether this is the password of this probe's key. */
  fits(probe: string, password: string): boolean;
  /** Hears of each probe whose key changed or went: its clients are cut. */
  onChanged(listener: (probe: string) => void): void;
};

/** The longest user name that is looked at; ids of probes are far shorter. */
const userCharsMax = 64;

/**
 * Returns whether a probe of the network may subscribe to this filter: to how it stands itself, and to
 * whether the house is alive. What the others do is none of its business.
 */
export function mayProbeSubscribe(house: string, probe: string, filter: string): boolean {
  return [`springhouse/${house}/state/${probe}`, `springhouse/${house}/alive`].includes(filter);
}

/** Bad user name or password (MQTT 3.1.1 §3.2.2.3). */
const badKey = 4;

/** What is known of one connection. */
export type Connection = {
  /** The keys that a client of the network must prove itself by; null for one of this machine. */
  keys: NetworkKeys | null;
  /** The probe that a client of the network proved to be; null before, and for one of this machine. */
  probe: string | null;
  /** Under what id its session is remembered. */
  clientId: string;
  /** Whether what it sends now may have waited. */
  resumption: Resumption;
  /** How many messages of it are taken and neither committed nor failed. */
  unanswered: number;
  /** How many messages of it that can be sent again were taken and not answered. */
  owed: number;
  filters: Set<string>;
};

export type ClientRules = Required<
  Pick<AedesOptions, 'preConnect' | 'authenticate' | 'authorizeSubscribe'>
> & {
  connectionOf(client: Client): Connection;
  /** Says that a client has gone. */
  gone(client: Client): void;
};

/**
 * Returns the hooks by which the embedded broker keeps nothing for a client: its session is clean, its will
 * is dropped (a dying client measures nothing), its filters are few.
 *
 * A client of the network must prove to be a probe, by user name and password; `onStranger` hears of one that
 * does not.
 *
 * What a client sends first may have waited where it asks to resume a session, and where its last connection
 * was left without an answer: it will send that again, and not every client marks it as sent before.
 */
export function clientRules(house: string, onStranger: (user: string) => void): ClientRules {
  const connections = new WeakMap<Client, Connection>();
  const lastOf = new Map<string, Connection>();
  const connectionOf = (client: Client): Connection => {
    const known = connections.get(client);
    if (known) return known;
    const fresh: Connection = {
      keys: null,
      probe: null,
      clientId: '',
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
      // A client of the network shares its ids with nobody, so that none can push another probe out.
      if (connection.keys !== null && packet.clientId !== '') {
        packet.clientId = `${String(packet.username ?? '').slice(0, userCharsMax)}/${packet.clientId}`;
      }
      connection.clientId = packet.clientId;
      const isLeftWaiting = (lastOf.get(packet.clientId)?.owed ?? 0) > 0;
      connection.resumption = createResumption(packet.clean === false || isLeftWaiting, performance.now());
      packet.clean = true;
      delete packet.will;
      callback(null, true);
    },
    authenticate(client, username, password, callback) {
      const connection = connectionOf(client);
      const { keys, clientId } = connection;
      if (keys !== null) {
        const user = username ?? '';
        const isIts = user.length <= userCharsMax && keys.fits(user, (password ?? '').toString());
        if (!isIts) {
          onStranger(user.slice(0, userCharsMax));
          return callback(Object.assign(new Error('no key'), { returnCode: badKey }), false);
        }
        connection.probe = user;
      }
      if (clientId !== '') remember(clientId, connection);
      callback(null, true);
    },
    authorizeSubscribe(client, subscription, callback) {
      const { filters, probe } = connectionOf(client);
      if (probe !== null && !mayProbeSubscribe(house, probe, subscription.topic)) return callback(null, null);
      if (!maySubscribe(house, subscription.topic, filters)) return callback(null, null);
      filters.add(subscription.topic);
      callback(null, subscription);
    },
    connectionOf,
    gone(client) {
      const connection = connectionOf(client);
      if (connection.owed === 0 && lastOf.get(connection.clientId) === connection) {
        lastOf.delete(connection.clientId);
      }
    },
  };
}
