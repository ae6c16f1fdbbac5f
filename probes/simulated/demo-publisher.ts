import { setTimeout as pause } from 'node:timers/promises';
import { connect, type MqttClient } from 'mqtt';
import { readingTopic } from '../mqtt/reading-message.ts';
import type { DemoHouse, DemoReading } from './demo-house.ts';
import { type Pack, packsOf, senmlOf } from './senml-pack.ts';

export type DemoPublisher = {
  /** Stops speaking, lets go of the broker and resolves; what is not acknowledged by then is dropped. */
  close(): Promise<void>;
};

/** Messages unacknowledged at a time; the next one waits until the broker has acknowledged one of them. */
export const inFlightMax = 20;

const pollMs = 250;

/**
 * Lets a demo house speak over real MQTT 3.1.1 at QoS 1, as stamped SenML on `springhouse/<house>/reading/<probe>`:
 * first its past, as fast as the broker acknowledges, then live. `now` gives epoch ms; no reading is younger.
 * Resolves at once and tries until closed: while the broker is away the readings wait, unmade, in the demo house.
 */
export async function openDemoPublisher(o: {
  url: string;
  house: string;
  demo: Pick<DemoHouse, 'readingsUntil'>;
  now?: () => number;
  /** Between two tries to reach the broker; a second unless given. */
  retryMs?: number;
}): Promise<DemoPublisher> {
  const now = o.now ?? Date.now;
  const client = connect(o.url, {
    protocolVersion: 4,
    clientId: `simulated-${o.house}`,
    reconnectPeriod: o.retryMs ?? 1000,
    connectTimeout: 5000,
  });
  // Each failed try comes as an error; the client goes on trying by itself.
  client.on('error', () => {});
  const stop = new AbortController();
  const speech = { client, house: o.house, stop: stop.signal, open: new Set<() => void>() };
  const speaking = speak(speech, () => o.demo.readingsUntil(now()));
  return {
    close: async () => {
      stop.abort();
      // A client that ends by force leaves its open publishes without an answer for good.
      for (const settle of speech.open) settle();
      await client.endAsync(true);
      await speaking;
    },
  };
}

/** `open` holds a way to settle each unacknowledged message. */
type Speech = { client: MqttClient; house: string; stop: AbortSignal; open: Set<() => void> };

async function speak(speech: Speech, next: () => readonly DemoReading[]): Promise<void> {
  while (!speech.stop.aborted) {
    const readings = speech.client.connected ? next() : [];
    if (readings.length > 0) await sendAll(speech, readings);
    else await pauseUnlessStopped(pollMs, speech.stop);
  }
}

/** Sends in order, `inFlightMax` at a time; resolves once all are acknowledged, or at the stop. */
async function sendAll(speech: Speech, readings: readonly DemoReading[]): Promise<void> {
  const sendings = new Set<Promise<void>>();
  for (const pack of packsOf(readings)) {
    while (sendings.size >= inFlightMax) await Promise.race(sendings);
    if (speech.stop.aborted) break;
    const sending: Promise<void> = sendPack(speech, pack).finally(() => sendings.delete(sending));
    sendings.add(sending);
  }
  await Promise.all(sendings);
}

/** Resolves at the broker's acknowledgement or at the stop; after a broken connection the client itself sends again. */
function sendPack(speech: Speech, { probe, readings }: Pack<DemoReading>): Promise<void> {
  const topic = readingTopic(speech.house, probe);
  return new Promise((resolve) => {
    const settle = () => {
      speech.open.delete(settle);
      resolve();
    };
    speech.open.add(settle);
    // On 3.1.1 a broker cannot refuse a publish; a fault here says that the client is ending.
    speech.client.publish(topic, senmlOf(readings), { qos: 1 }, settle);
  });
}

async function pauseUnlessStopped(spanMs: number, stop: AbortSignal): Promise<void> {
  await pause(spanMs, undefined, { signal: stop }).catch(() => {});
}
