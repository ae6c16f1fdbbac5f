/**
 * A process that publishes the load at QoS 1, from many clients with many messages unacknowledged each, and
 * prints how long it took until the last was acknowledged. Run by the benches; its one argument is JSON.
 */
import { connect, type MqttClient } from 'mqtt';
import { type LoadMessage, type LoadOptions, loadMessages } from './load-population.ts';

export type LoadPublishing = { url: string; clients: number; inFlight: number; load: LoadOptions };

const { url, clients, inFlight, load } = JSON.parse(process.argv[2] ?? '{}') as LoadPublishing;
// Each client has its own probes, so that each probe's readings stay in order.
const shares: LoadMessage[][] = Array.from({ length: clients }, () => []);
for (const message of loadMessages(load)) (shares[message.number % clients] as LoadMessage[]).push(message);
const connected = await Promise.all(shares.map((_, index) => connectedClient(index)));
const startMs = performance.now();
await Promise.all(connected.map((client, index) => publishAll(client, shares[index] as LoadMessage[])));
const spanMs = performance.now() - startMs;
for (const client of connected) client.end(true);
process.stdout.write(`${JSON.stringify({ spanMs })}\n`);

function connectedClient(index: number): Promise<MqttClient> {
  const client = connect(url, { clientId: `load-${index}`, reconnectPeriod: 0 });
  return new Promise((resolve, reject) => {
    client.once('connect', () => resolve(client));
    client.once('error', reject);
  });
}

function publishAll(client: MqttClient, messages: readonly LoadMessage[]): Promise<void> {
  return new Promise((resolve, reject) => {
    let next = 0;
    let acknowledged = 0;
    client.on('error', reject);
    const send = (): void => {
      const message = messages[next++];
      if (message === undefined) return;
      client.publish(message.topic, message.payload, { qos: 1 }, (error) => {
        if (error) return reject(error);
        acknowledged += 1;
        if (acknowledged === messages.length) resolve();
        else send();
      });
    };
    for (let window = 0; window < inFlight; window++) send();
  });
}
