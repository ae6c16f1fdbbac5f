import { createServer, type Server, type Socket } from 'node:net';
import { Aedes } from 'aedes';
import { afterEach, describe, expect, it } from 'vitest';
import { type DemoReading, makeDemoHouse } from '../../../probes/simulated/demo-house.ts';
import { openDemoPublisher } from '../../../probes/simulated/demo-publisher.ts';

const startMs = Date.parse('2026-03-03T06:30:00Z');

type Heard = { topic: string; probe: string; atMs: number; tempC: number };

/** A real broker whose acknowledgements the test may hold back. */
async function openBroker(port = 0) {
  const heard: Heard[] = [];
  const sockets = new Set<Socket>();
  let waiting = 0;
  let waitingMost = 0;
  let holdMs = 0;
  const aedes = await Aedes.createBroker();
  aedes.authorizePublish = (_client, packet, done) => {
    for (const record of JSON.parse(packet.payload.toString())) {
      heard.push({
        topic: packet.topic,
        probe: record.n,
        atMs: Math.round(record.t * 1000),
        tempC: record.v,
      });
    }
    waiting += 1;
    waitingMost = Math.max(waitingMost, waiting);
    setTimeout(() => {
      waiting -= 1;
      done(null);
    }, holdMs);
  };
  const server: Server = createServer((socket) => {
    sockets.add(socket);
    socket.once('close', () => sockets.delete(socket));
    aedes.handle(socket);
  });
  await new Promise<void>((resolve) => server.listen(port, '127.0.0.1', resolve));
  const address = server.address();
  if (address === null || typeof address === 'string') throw new Error('no port');
  return {
    heard,
    port: address.port,
    url: `mqtt://127.0.0.1:${address.port}`,
    waitingMost: () => waitingMost,
    hold: (spanMs: number) => {
      holdMs = spanMs;
    },
    close: async () => {
      for (const socket of sockets) socket.destroy();
      await new Promise<void>((resolve) => server.close(() => resolve()));
      await new Promise<void>((resolve) => aedes.close(() => resolve()));
    },
  };
}

async function until(holds: () => boolean): Promise<void> {
  const deadline = Date.now() + 10_000;
  while (!holds()) {
    if (Date.now() > deadline) throw new Error('the deadline passed');
    await new Promise((resolve) => setTimeout(resolve, 10));
  }
}

const closers: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

const byProbe = (readings: readonly { probe: string; atMs: number; tempC: number }[], probe: string) =>
  readings.filter((reading) => reading.probe === probe).map(({ atMs, tempC }) => ({ atMs, tempC }));

describe('the publisher of the demo house', () => {
  it('tells the whole past and the present over a real broker, reading for reading', async () => {
    const broker = await openBroker();
    closers.push(broker.close);
    const expected: DemoReading[] = [];
    const reference = makeDemoHouse({ seed: 1, startMs });
    for (let more = reference.readingsUntil(startMs); more.length > 0; ) {
      expected.push(...more);
      more = reference.readingsUntil(startMs);
    }
    const demo = makeDemoHouse({ seed: 1, startMs });
    const publisher = await openDemoPublisher({
      url: broker.url,
      house: 'larkfell-x',
      demo,
      now: () => startMs,
    });
    closers.push(publisher.close);
    await until(() => broker.heard.length >= expected.length);
    for (const { id } of demo.probes) {
      expect(byProbe(broker.heard, id)).toEqual(byProbe(expected, id));
    }
    expect(new Set(broker.heard.map((heard) => heard.topic))).toEqual(
      new Set(demo.probes.map(({ id }) => `springhouse/larkfell-x/reading/${id}`)),
    );
  });
});
