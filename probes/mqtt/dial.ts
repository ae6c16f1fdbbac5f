/** How the outside broker is dialled: the socket, and what the library says in CONNECT. */
import { connect as connectTcp, isIP, type Socket } from 'node:net';
import { connect as connectTls } from 'node:tls';
import type { IClientOptions } from 'mqtt';
import type { MqttSettings } from './mqtt-settings.ts';
import { payloadBytesMax } from './reading-message.ts';

/**
 * The longest body of a packet taken, in bytes: a payload, a topic and properties. A broker that speaks
 * MQTT 5 is told not to send a longer one; with 3.1.1 it is cut on arrival and refused as too long.
 */
export const packetBytesMax = 2 * payloadBytesMax;

/** How long the broker keeps the session of an absent house, where it goes by MQTT 5 (§3.1.2.11.2). */
export const sessionExpiryS = 7 * 86_400;

/** The span without a packet after which either side asks whether the other is there. */
export const keepaliveS = 30;

const connackWaitMs = 10_000;

/** Returns a socket on its way to the broker: plain for `mqtt`, TLS with a checked certificate for `mqtts`. */
export function socketTo({ url, ca }: MqttSettings): Socket {
  const { protocol, hostname, port } = new URL(url);
  const host = hostname.replace(/^\[|\]$/g, '');
  if (protocol === 'mqtt:') return connectTcp({ host, port: Number(port || 1883) });
  const trust = ca === undefined ? {} : { ca };
  return connectTls({ host, servername: isIP(host) === 0 ? host : '', port: Number(port || 8883), ...trust });
}

/** Returns the library's options: a kept session, and no reconnecting of its own. */
export function clientOptions(settings: MqttSettings, receiveMaximum: number): IClientOptions {
  const { protocolVersion, clientId, username, password } = settings;
  return {
    protocolVersion,
    clientId,
    ...(username === undefined ? {} : { username }),
    ...(password === undefined ? {} : { password }),
    clean: false,
    keepalive: keepaliveS,
    connectTimeout: connackWaitMs,
    reconnectPeriod: 0,
    resubscribe: false,
    ...(protocolVersion === 5
      ? {
          properties: {
            sessionExpiryInterval: sessionExpiryS,
            receiveMaximum,
            maximumPacketSize: packetBytesMax,
          },
        }
      : {}),
  };
}
