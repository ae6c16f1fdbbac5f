import mqtt from 'mqtt';
import type { Letter } from '../../../shared/contract/notify.ts';
import { type Sent, sendMsMax, type Way, whyOf } from '../way.ts';

/** How to reach a broker. */
export type BrokerLogin = {
  /** `mqtt://` or `mqtts://`, without user and password. */
  url: string;
  protocolVersion: 4 | 5;
  username?: string;
  password?: string;
  ca?: string;
};

export type MqttWayOptions = {
  id: string;
  house: string;
  topic: string;
  login: BrokerLogin;
  /** What people read of where it leads. */
  leadsTo: string;
};

/** How long a broker that went away is left alone before it is tried again. */
const againMs = 2_000;

/**
 * Opens a way over a broker, with a connection of its own. A letter arrived where the broker has acknowledged
 * it (QoS 1); who listens there is the broker's to know.
 */
export function openMqttWay({ id, house, topic, login, leadsTo }: MqttWayOptions): Way {
  const client = mqtt.connect(login.url, {
    ...login,
    clientId: `springhouse-${house}-way-${id}`,
    reconnectPeriod: againMs,
    connectTimeout: sendMsMax,
    clean: true,
    queueQoSZero: false,
  });
  let trouble = 'no connection to the broker';
  client.on('error', (error) => {
    trouble = whyOf(error);
  });
  return {
    id,
    kind: 'mqtt',
    leadsTo,
    send: (letter) => publish(client, { topic, letter, why: () => trouble }),
    close: async () => {
      await client.endAsync(true);
    },
  };
}

function publish(
  client: mqtt.MqttClient,
  { topic, letter, why }: { topic: string; letter: Letter; why: () => string },
): Promise<Sent> {
  return new Promise((resolve) => {
    const connected = client.connected ? Promise.resolve(true) : untilConnected(client, connectMsMax);
    void connected.then((isConnected) => {
      if (!isConnected) return resolve({ is: 'failed', why: why() });
      // The client itself would wait for the answer as long as the connection may come back.
      const end = (sent: Sent): void => {
        clearTimeout(timer);
        client.off('close', onClose);
        resolve(sent);
      };
      const onClose = (): void => end({ is: 'failed', why: 'the broker went away' });
      const timer = setTimeout(end, sendMsMax, { is: 'failed', why: 'the broker did not answer' });
      client.on('close', onClose);
      client.publish(topic, JSON.stringify(letter), { qos: 1 }, (error) => {
        end(error ? { is: 'failed', why: whyOf(error) } : { is: 'sent' });
      });
    });
  });
}

/** How long a letter waits for a connection that is being made. */
const connectMsMax = 3_000;

function untilConnected(client: mqtt.MqttClient, spanMs: number): Promise<boolean> {
  return new Promise((resolve) => {
    const end = (isConnected: boolean): void => {
      clearTimeout(timer);
      client.off('connect', onConnect);
      resolve(isConnected);
    };
    const onConnect = (): void => end(true);
    const timer = setTimeout(() => end(false), spanMs);
    client.on('connect', onConnect);
  });
}
