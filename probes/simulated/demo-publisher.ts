import { setTimeout as pause } from 'node:timers/promises';
import { connect, type MqttClient } from 'mqtt';
import type { DemoHouse, DemoReading } from './demo-house.ts';
import { packsOf, senmlOf } from './senml-pack.ts';

export type DemoPublisher = {
  /** Stops speaking, lets go of the broker and resolves; what is not acknowledged by then is dropped. */
  close(): Promise<void>;
};

/** Messages unacknowledged at a time; the next one waits until the broker has acknowledged one of them. */
export const inFlightMax = 20;

const pollMs = 250;
const retryMs = 1000;

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
}): Promise<DemoPublisher> {
  const now = o.now ?? Date.now;
  const client = connect(o.url, {
    protocolVersion: 4,
    clientId: `simulated-${o.house}`,
    reconnectPeriod: retryMs,
    connectTimeout: 5000,
  });
  // Each failed try comes as an error; the client goes on trying by itself.
  client.on('error', () => {});
  const stop = new AbortController();
  const speaking = speak({
    client,
    house: o.house,
    stop: stop.signal,
    next: () => o.demo.readingsUntil(now()),
  });
  return {
    close: async () => {
      stop.abort();
      await client.endAsync(true);
      await speaking;
    },
  };
}

type Speech = { client: MqttClient; house: string; stop: AbortSignal; next: () => readonly DemoReading[] };

async function speak(speech: Speech): Promise<void> {
  while (!speech.stop.aborted) {
    const readings = speech.client.connected ? speech.next() : [];
    if (readings.length > 0) await sendAll(speech, readings);
    else await pauseUnlessStopped(pollMs, speech.stop);
  }
}

/** Sends in order, `inFlightMax` at a time; resolves once all are acknowledged, or soon after the stop. */
async function sendAll(speech: Speech, readings: readonly DemoReading[]): Promise<void> {
  const open = new Set<Promise<void>>();
  for (const pack of packsOf(readings)) {
    while (open.size >= inFlightMax) await Promise.race(open);
    if (speech.stop.aborted) break;
    const sending: Promise<void> = sendPack(speech, pack).finally(() => open.delete(sending));
    open.add(sending);
  }
  await Promise.all(open);
}

/** Resolves at the broker's acknowledgement; over a broken connection the client itself sends again. */
async function sendPack(speech: Speech, pack: readonly DemoReading[]): Promise<void> {
  const probe = pack[0]?.probe;
  const topic = `springhouse/${speech.house}/reading/${probe}`;
  while (!speech.stop.aborted) {
    try {
      await speech.client.publishAsync(topic, senmlOf(pack), { qos: 1 });
      return;
    } catch {
      // Refused or ended: again after a while, unless this is the end.
      await pauseUnlessStopped(retryMs, speech.stop);
    }
  }
}

async function pauseUnlessStopped(spanMs: number, stop: AbortSignal): Promise<void> {
  await pause(spanMs, undefined, { signal: stop }).catch(() => {});
}
