import { createServer, type Server, type Socket } from 'node:net';
import { setTimeout as pause } from 'node:timers/promises';
import { Aedes } from 'aedes';
import { afterEach, describe, expect, it } from 'vitest';
import { decodeReadingMessage, readingTopic } from '../../../probes/mqtt/reading-message.ts';
import { type DemoReading, makeDemoHouse } from '../../../probes/simulated/demo-house.ts';
import { inFlightMax, openDemoPublisher } from '../../../probes/simulated/demo-publisher.ts';
import { larkfell } from '../../../probes/simulated/larkfell.ts';

const startMs = Date.parse('2026-03-03T06:30:00Z');

type Heard = { probe: string; atMs: number; tempC: number };
type Message = { topic: string; payload: Uint8Array };

/** A real broker that the test may stop from acknowledging; on a port of its own or on a given one. */
async function openBroker(port = 0) {
  const heard: Heard[] = [];
  const messages: Message[] = [];
  const sockets = new Set<Socket>();
  let held = 0;
  let holds = false;
  const aedes = await Aedes.createBroker();
  aedes.authorizePublish = (_client, packet, done) => {
    const payload = Buffer.from(packet.payload);
    messages.push({ topic: packet.topic, payload });
    for (const record of JSON.parse(payload.toString())) {
      heard.push({ probe: record.n, atMs: Math.round(record.t * 1000), tempC: record.v });
    }
    if (holds) held += 1;
    else done(null);
  };
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.once('close', () => sockets.delete(socket));
    aedes.handle(socket);
  });
  return {
    heard,
    messages,
    ...(await listen(server, port)),
    waiting: () => held,
    hold: () => {
      holds = true;
    },
    close: async () => {
      for (const socket of sockets) socket.destroy();
      await new Promise<void>((resolve) => server.close(() => resolve()));
      await new Promise<void>((resolve) => aedes.close(() => resolve()));
    },
  };
}

/** The least of MQTT 3.1.1 that takes publishes at once and acknowledges one when told; aedes reads on only once it has answered. */
async function openSlowBroker() {
  const unanswered: Buffer[] = [];
  const sockets = new Set<Socket>();
  const server = createServer((socket) => {
    sockets.add(socket);
    // A publisher that closes lets go by force.
    socket.on('error', () => {});
    let bytes = Buffer.alloc(0);
    socket.on('data', (chunk) => {
      bytes = Buffer.concat([bytes, chunk]);
      for (let packet = packetAt(bytes); packet !== null; packet = packetAt(bytes)) {
        bytes = bytes.subarray(packet.size);
        if (packet.kind === 1) socket.write(Buffer.from([0x20, 2, 0, 0]));
        if (packet.kind !== 3) continue;
        const idAt = 2 + packet.body.readUInt16BE(0);
        unanswered.push(Buffer.from([0x40, 2, ...packet.body.subarray(idAt, idAt + 2)]));
      }
    });
  });
  return {
    ...(await listen(server, 0)),
    unanswered: () => unanswered.length,
    answerOne: () => {
      const answer = unanswered.shift();
      if (answer) for (const socket of sockets) socket.write(answer);
    },
    close: async () => {
      for (const socket of sockets) socket.destroy();
      await new Promise<void>((resolve) => server.close(() => resolve()));
    },
  };
}

/** Returns the first whole packet, or null: its kind (1 connect, 3 publish), its body and its size with the header (MQTT 3.1.1 §2.2). */
function packetAt(bytes: Buffer): { kind: number; body: Buffer; size: number } | null {
  let length = 0;
  for (let at = 1; at < bytes.length; at += 1) {
    const byte = bytes[at] ?? 0;
    length += (byte & 127) * 128 ** (at - 1);
    if (byte > 127) continue;
    const size = at + 1 + length;
    return bytes.length < size
      ? null
      : { kind: (bytes[0] ?? 0) >> 4, body: bytes.subarray(at + 1, size), size };
  }
  return null;
}

/** A port that turns every caller away. */
async function openNobody() {
  let turnedAway = 0;
  const server = createServer((socket) => {
    turnedAway += 1;
    socket.destroy();
  });
  return {
    ...(await listen(server, 0)),
    turnedAway: () => turnedAway,
    close: () => new Promise<void>((resolve) => server.close(() => resolve())),
  };
}

async function listen(server: Server, atPort: number): Promise<{ port: number; url: string }> {
  await new Promise<void>((resolve) => server.listen(atPort, '127.0.0.1', resolve));
  const address = server.address();
  if (address === null || typeof address === 'string') throw new Error('a server that listens has a port');
  return { port: address.port, url: `mqtt://127.0.0.1:${address.port}` };
}

async function until(holds: () => boolean): Promise<void> {
  const deadline = Date.now() + 10_000;
  while (!holds()) {
    if (Date.now() > deadline) throw new Error('the deadline passed');
    await pause(5);
  }
}

const closers: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

const byProbe = (readings: readonly { probe: string; atMs: number; tempC: number }[], probe: string) =>
  readings.filter((reading) => reading.probe === probe).map(({ atMs, tempC }) => ({ atMs, tempC }));

/** All that a demo house of seed 1 has to tell up to an instant. */
function readingsOf(atMs: number): DemoReading[] {
  const demo = makeDemoHouse({ seed: 1, startMs });
  const readings: DemoReading[] = [];
  for (let more = demo.readingsUntil(atMs); more.length > 0; more = demo.readingsUntil(atMs)) {
    readings.push(...more);
  }
  return readings;
}

/** Opens a publisher that is closed after the test, on a clock that the test sets. */
async function openPublisher(url: string) {
  const clock = { nowMs: startMs };
  const demo = makeDemoHouse({ seed: 1, startMs });
  const publisher = await openDemoPublisher({
    url,
    house: 'larkfell-x',
    demo,
    now: () => clock.nowMs,
    retryMs: 50,
  });
  closers.push(publisher.close);
  return clock;
}

describe('the publisher of the demo house', () => {
  it('tells the whole past and then the present over a real broker, reading for reading', async () => {
    const broker = await openBroker();
    closers.push(broker.close);
    const clock = await openPublisher(broker.url);
    await until(() => broker.heard.length >= readingsOf(startMs).length);
    clock.nowMs += 10_000;
    const expected = readingsOf(clock.nowMs);
    await until(() => broker.heard.length >= expected.length);
    for (const { id } of larkfell.probes) expect(byProbe(broker.heard, id)).toEqual(byProbe(expected, id));
    expect(broker.heard).toHaveLength(expected.length);
  });

  it('speaks on the topic of each probe, in packs that the house decodes whole', async () => {
    const broker = await openBroker();
    closers.push(broker.close);
    await openPublisher(broker.url);
    await until(() => broker.heard.length >= readingsOf(startMs).length);
    const topics = broker.messages.map(({ topic }) => topic);
    expect(new Set(topics)).toEqual(new Set(larkfell.probes.map(({ id }) => readingTopic('larkfell-x', id))));
    const decoded = broker.messages.map(({ topic, payload }) =>
      decodeReadingMessage({
        ...{ topic, payload, house: 'larkfell-x', source: 'test' },
        ...{ retain: false, dup: false, resumed: false },
      }),
    );
    expect(decoded.flatMap(({ refusals }) => refusals)).toEqual([]);
    expect(decoded.flatMap(({ readings }) => readings)).toEqual(
      broker.heard.map(({ probe, atMs, tempC }) => ({ probe, atMs, tempC, undated: false })),
    );
  });

  it('leaves no more than its share unacknowledged while the broker takes its time', async () => {
    const broker = await openSlowBroker();
    closers.push(broker.close);
    await openPublisher(broker.url);
    for (let answered = 0; answered < 50; answered += 1) {
      await until(() => broker.unanswered() >= inFlightMax);
      expect(broker.unanswered()).toBe(inFlightMax);
      broker.answerOne();
    }
  });

  it('waits for a broker that comes late', async () => {
    const nobody = await openNobody();
    await openPublisher(nobody.url);
    await until(() => nobody.turnedAway() > 0);
    await nobody.close();
    const broker = await openBroker(nobody.port);
    closers.push(broker.close);
    await until(() => broker.heard.length >= readingsOf(startMs).length);
    expect(broker.heard).toHaveLength(readingsOf(startMs).length);
  });

  it('loses nothing when the broker goes in the middle and comes back', async () => {
    const first = await openBroker();
    first.hold();
    await openPublisher(first.url);
    await until(() => first.waiting() > 0);
    await first.close();
    const second = await openBroker(first.port);
    closers.push(second.close);
    const expected = readingsOf(startMs);
    const distinct = () => new Set(second.heard.map(({ probe, atMs }) => `${probe} ${atMs}`));
    await until(() => distinct().size >= expected.length);
    expect(distinct()).toEqual(new Set(expected.map(({ probe, atMs }) => `${probe} ${atMs}`)));
  });

  it('closes at once although nothing is acknowledged', async () => {
    const broker = await openBroker();
    closers.push(broker.close);
    broker.hold();
    const demo = makeDemoHouse({ seed: 1, startMs });
    const publisher = await openDemoPublisher({ url: broker.url, house: 'x', demo, now: () => startMs });
    await until(() => broker.waiting() > 0);
    const closingMs = performance.now();
    await publisher.close();
    expect(performance.now() - closingMs).toBeLessThan(1000);
  });

  it('closes at once although no broker ever came', async () => {
    const nobody = await openNobody();
    closers.push(nobody.close);
    const demo = makeDemoHouse({ seed: 1, startMs });
    const publisher = await openDemoPublisher({ url: nobody.url, house: 'x', demo, now: () => startMs });
    await until(() => nobody.turnedAway() > 0);
    const closingMs = performance.now();
    await publisher.close();
    expect(performance.now() - closingMs).toBeLessThan(1000);
  });
});
