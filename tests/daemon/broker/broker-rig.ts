import type { IClientOptions, MqttClient } from 'mqtt';
import { connectAsync } from 'mqtt';
import { onTestFinished } from 'vitest';
import type { EmbeddedBroker, EmbeddedBrokerOptions } from '../../../daemon/broker/embedded-broker.ts';
import { createEmbeddedBroker } from '../../../daemon/broker/embedded-broker.ts';
import type { Refusal } from '../../../probes/source.ts';
import type { RecordingSink } from '../../contract/recording-sink.ts';
import { createRecordingSink } from '../../contract/recording-sink.ts';
import type { SourceRig, WireTraits } from '../../contract/source-contract.ts';
import { freePort } from '../../machine/mosquitto.ts';

export const house = 'larkfell-7q2m';

/** Options of an embedded broker on a free port. */
export const atHome: EmbeddedBrokerOptions = { id: 'broker', house, host: '127.0.0.1', port: 0 };

/** What the embedded broker can do as a wire. */
export const embeddedTraits: WireTraits = {
  carriesStamps: true,
  repeats: false,
  acknowledges: true,
  goesAway: false,
};

/** Returns the topic on which this house hears a probe. */
export function readingTopic(probe: string): string {
  return `springhouse/${house}/reading/${probe}`;
}

/** Returns a pack of one stamped reading. */
export function stamped(tempC: number, atMs: number): string {
  return JSON.stringify([{ u: 'Cel', v: tempC, t: atMs / 1000 }]);
}

/** Opens an embedded broker on a sink until the test ends. */
export async function opened(
  more: Partial<EmbeddedBrokerOptions> = {},
  sink: RecordingSink = createRecordingSink(),
): Promise<{ broker: EmbeddedBroker; sink: RecordingSink; url: string }> {
  const broker = createEmbeddedBroker({ ...atHome, ...more });
  await broker.open(sink);
  onTestFinished(() => broker.close());
  return { broker, sink, url: broker.url() ?? '' };
}

/** Connects a real client until the test ends. */
export async function joined(url: string, options: IClientOptions = {}): Promise<MqttClient> {
  const client = await connectAsync(url, { protocolVersion: 4, reconnectPeriod: 20, ...options });
  client.on('error', () => {});
  onTestFinished(() => client.endAsync(true));
  return client;
}

/** Joins a publisher to a port on which the source under test will open its broker. */
export async function makeEmbeddedRig(): Promise<SourceRig> {
  const port = await freePort();
  let acknowledged = 0;
  let joining: Promise<MqttClient> | undefined;
  const publish = async (probe: string, payload: string) => {
    joining ??= connectAsync(`mqtt://127.0.0.1:${port}`, { protocolVersion: 4, reconnectPeriod: 20 });
    const client = await joining;
    await client.publishAsync(readingTopic(probe), payload, { qos: 1 });
    acknowledged += 1;
  };
  return {
    makeSource: () => createEmbeddedBroker({ ...atHome, port, waits: { firstMs: 20, longestMs: 20 } }),
    send: ({ probe, tempC, atMs }) => publish(probe, stamped(tempC, atMs)),
    async sendBad(): Promise<Refusal> {
      await publish('plum', 'plum 400');
      const message =
        'temperature of probe "plum" must be from -60 to 150 °C, got 400. ' +
        'Look at the sensor, its cable and the unit it sends.';
      return { source: 'broker', probe: 'plum', code: 'WIRE_RANGE', message };
    },
    acknowledged: () => acknowledged,
    breakWire: () => Promise.reject(new Error('the embedded broker does not go away')),
    mendWire: () => Promise.reject(new Error('the embedded broker does not go away')),
    async close() {
      await (await joining)?.endAsync(true);
    },
  };
}
