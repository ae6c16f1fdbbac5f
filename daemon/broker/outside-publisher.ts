import mqtt from 'mqtt';
import { outPump } from './out-pump.ts';
import { aliveMessage } from './out-topics.ts';
import type { Publisher } from './publisher.ts';

/** Messages that leave at once: as many as hide the way to a broker and back. */
const leavingMessagesMax = 16;

/** How long the last messages may take to leave at `close`. */
const leaveMsMax = 500;

/** How long a broker that went away is left alone before it is tried again. */
const againMs = 2_000;

export type OutsidePublisherOptions = {
  house: string;
  /** `mqtt://host:port` or `mqtts://host:port`, without user and password. */
  url: string;
  /** 4 for MQTT 3.1.1, 5 for MQTT 5.0. */
  protocolVersion: 4 | 5;
  /** Must differ from that of every other connection to this broker. */
  clientId: string;
  username?: string;
  password?: string;
  /** The certificate of a private authority in PEM, for `mqtts`. */
  ca?: string;
  /** For tests: how long until the next try; two seconds where absent. */
  againMs?: number;
  /** Hears of the connection's failures, which are tried again. */
  onTrouble?(error: Error): void;
};

/**
 * Speaks through a broker outside, over a connection of its own, so that what is said never waits behind
 * what is heard. Returns at once and connects when it can. While it lives `…/alive` is `1`; the broker says
 * `0` in its place (its will) when the connection breaks. A message in flight when the connection breaks
 * is sent again, so a notice may be heard twice; it carries its id.
 */
export function openOutsidePublisher(options: OutsidePublisherOptions): Publisher {
  const { house, url, onTrouble = () => {}, againMs: reconnectPeriod = againMs, ...login } = options;
  const gone = aliveMessage(house, false);
  const client = mqtt.connect(url, {
    ...login,
    reconnectPeriod,
    clean: true,
    queueQoSZero: false,
    will: { topic: gone.topic, payload: Buffer.from(gone.payload), qos: gone.qos, retain: gone.retain },
  });
  const pump = outPump(({ topic, payload, qos, retain }, done) => {
    client.publish(topic, payload, { qos, retain }, done);
  }, leavingMessagesMax);
  client.on('connect', () => {
    pump.publish(aliveMessage(house, true));
    pump.setOpen(true);
  });
  client.on('close', () => pump.setOpen(false));
  client.on('error', onTrouble);
  const shut = async () => {
    pump.publish(gone);
    const isSaid = client.connected && (await pump.empty(leaveMsMax));
    pump.stop();
    // Cut where it could not be said, so that the broker says it by the will.
    await client.endAsync(!isSaid);
  };
  let closed: Promise<void> | undefined;
  return {
    publish: pump.publish,
    dropped: pump.dropped,
    close() {
      closed ??= shut();
      return closed;
    },
  };
}
