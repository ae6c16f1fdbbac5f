import { connect, createServer, type Server, type Socket } from 'node:net';
import { connectAsync, type MqttClient } from 'mqtt';
import { headerAt, packetType } from '../../probes/mqtt/frames.ts';
import type { MqttSettings } from '../../probes/mqtt/mqtt-settings.ts';
import { createMqttSource } from '../../probes/mqtt/mqtt-source.ts';
import { readingTopic } from '../../probes/mqtt/reading-message.ts';
import type { Mosquitto } from '../machine/mosquitto.ts';
import type { SourceRig, WireTraits } from './source-contract.ts';

/** What an outside broker's wire can do. */
export const mqttTraits: WireTraits = {
  carriesStamps: true,
  repeats: false,
  acknowledges: true,
  goesAway: true,
};

/** A rig whose far end is a real broker, with what only such a wire has. */
export type MqttRig = SourceRig & {
  settings: MqttSettings;
  publisher: MqttClient;
  /** The topic of this rig's house for a probe. */
  topicOf(probe: string): string;
  /** The packet ids of the source's PUBACKs, in the order in which the broker got them. */
  pubacks: number[];
  /** The packet ids of the broker's PUBLISHes at QoS 1, in the order in which it sent them. */
  publishes: number[];
};

let rigs = 0;

/** Joins a source to a broker by a relay that counts acknowledgements and can be broken. */
export async function makeMqttRig(
  broker: Mosquitto,
  protocolVersion: 4 | 5,
  more: Partial<MqttSettings> = {},
): Promise<MqttRig> {
  rigs += 1;
  const house = `larkfell-${rigs}`;
  const pubacks: number[] = [];
  const publishes: number[] = [];
  const relay = await startRelay(broker.port, pubacks, publishes);
  const publisher = await connectAsync(broker.url, { protocolVersion: 4, reconnectPeriod: 50 });
  const topicOf = (probe: string) => readingTopic(house, probe);
  const settings: MqttSettings = {
    id: 'dairy-broker',
    url: `mqtt://127.0.0.1:${relay.port}`,
    protocolVersion,
    house,
    clientId: house,
    waits: { firstMs: 20, longestMs: 200 },
    ...more,
  };
  return {
    settings,
    publisher,
    topicOf,
    pubacks,
    publishes,
    makeSource: () => createMqttSource(settings),
    async send({ probe, tempC, atMs }) {
      const pack = [{ n: probe, u: 'Cel', v: tempC, t: atMs / 1000 }];
      await publisher.publishAsync(topicOf(probe), JSON.stringify(pack), { qos: 1 });
    },
    async sendBad() {
      await publisher.publishAsync(topicOf('plum'), 'plum 400', { qos: 1 });
      const message =
        'temperature of probe "plum" must be from -60 to 150 °C, got 400. ' +
        'Look at the sensor, its cable and the unit it sends.';
      return { source: 'dairy-broker', probe: 'plum', code: 'WIRE_RANGE', message };
    },
    acknowledged: () => pubacks.length,
    breakWire: relay.stop,
    mendWire: relay.start,
    async close() {
      await publisher.endAsync(true);
      await relay.stop();
    },
  };
}

type Relay = { port: number; start(): Promise<void>; stop(): Promise<void> };

/** Passes bytes between a source and the broker and notes the packets that matter on the way. */
async function startRelay(brokerPort: number, pubacks: number[], publishes: number[]): Promise<Relay> {
  const sockets = new Set<Socket>();
  let server: Server;
  let port = 0;
  function join(near: Socket): void {
    const far = connect(brokerPort, '127.0.0.1');
    for (const socket of [near, far]) {
      sockets.add(socket);
      socket.on('error', () => socket.destroy());
    }
    const noteUp = watchPackets((first, body) => {
      if (first >> 4 === packetType.puback) pubacks.push(body.readUInt16BE(0));
    });
    const noteDown = watchPackets((first, body) => {
      if (first >> 4 === packetType.publish && (first & 0x06) === 2) {
        publishes.push(body.readUInt16BE(2 + body.readUInt16BE(0)));
      }
    });
    near.on('data', noteUp).pipe(far);
    far.on('data', noteDown).pipe(near);
    near.on('close', () => far.destroy());
    far.on('close', () => near.destroy());
  }
  const start = () =>
    new Promise<void>((resolve) => {
      server = createServer(join).listen(port, '127.0.0.1', () => {
        const address = server.address();
        if (address !== null && typeof address !== 'string') port = address.port;
        resolve();
      });
    });
  await start();
  return {
    port,
    start,
    async stop() {
      const closed = new Promise((resolve) => server.close(resolve));
      for (const socket of sockets) socket.destroy();
      sockets.clear();
      await closed;
    },
  };
}

/** Returns a listener that calls back with the first byte and the body of each whole packet. */
function watchPackets(onPacket: (first: number, body: Buffer) => void): (bytes: Buffer) => void {
  let held = Buffer.alloc(0);
  return (bytes) => {
    held = Buffer.concat([held, bytes]);
    for (;;) {
      const header = headerAt(held, 0);
      if (header === null || header === 'malformed') return;
      const packetBytes = header.headerBytes + header.bodyBytes;
      if (held.length < packetBytes) return;
      onPacket(header.first, held.subarray(header.headerBytes, packetBytes));
      held = held.subarray(packetBytes);
    }
  };
}
