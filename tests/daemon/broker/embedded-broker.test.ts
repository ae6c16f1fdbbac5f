import { connect as connectSocket, createServer } from 'node:net';
import type { MqttClient } from 'mqtt';
import { connect } from 'mqtt';
import { describe, expect, onTestFinished, test, vi } from 'vitest';
import { unansweredMax } from '../../../daemon/broker/client-rules.ts';
import { createEmbeddedBroker } from '../../../daemon/broker/embedded-broker.ts';
import { payloadBytesMax } from '../../../probes/mqtt/reading-message.ts';
import { createRecordingSink } from '../../contract/recording-sink.ts';
import { freePort } from '../../machine/mosquitto.ts';
import { atHome, house, joined, opened, readingTopic, stamped } from './broker-rig.ts';

const atMs = Date.UTC(2026, 4, 4, 6, 0, 0);

/** Numbers as a small generator gives them, the same in each run. */
function seeded(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 1_103_515_245 + 12_345) % 2_147_483_648;
    return state / 2_147_483_648;
  };
}

/** A sink whose commits take a turn or a few milliseconds, and which notes what is committed. */
function slowSink() {
  const random = seeded(7);
  const committed = new Map<string, number>();
  const sink = createRecordingSink();
  return {
    committed,
    sink: {
      ...sink,
      async take(offer: Parameters<typeof sink.take>[0]) {
        await new Promise((resolve) => setTimeout(resolve, random() * 4));
        for (const { probe, atMs } of offer.readings) {
          const key = `${probe} ${atMs}`;
          committed.set(key, (committed.get(key) ?? 0) + 1);
        }
      },
    },
  };
}

/** A CONNECT of MQTT 3.1.1 with a clean session, the id `raw` and no keep-alive (§3.1). */
const connectPacket = Buffer.from([
  0x10,
  15,
  0,
  4,
  ...Buffer.from('MQTT'),
  4,
  2,
  0,
  0,
  0,
  3,
  ...Buffer.from('raw'),
]);

/** Returns a PUBLISH at QoS 1 of a reading of the probe `jar` (§3.3). */
function publishPacket(messageId: number, payload: string): Buffer {
  const topic = Buffer.from(readingTopic('jar'));
  const body = [0, topic.length, ...topic, messageId >> 8, messageId & 0xff, ...Buffer.from(payload)];
  return Buffer.from([0x32, body.length, ...body]);
}

/** Publishes again where the client library gives up, as it does when a line breaks while it resends. */
async function publishSurely(client: MqttClient, probe: string, atMs: number): Promise<void> {
  const isSent = await client.publishAsync(readingTopic(probe), stamped(20, atMs), { qos: 1 }).then(
    () => true,
    () => false,
  );
  if (!isSent) await publishSurely(client, probe, atMs);
}

describe('readings through the embedded broker', () => {
  test('are acknowledged to 20 clients only after each commit', async () => {
    const { sink, committed } = slowSink();
    const { url } = await opened({}, sink);
    let early = 0;
    const publishAll = async (probe: string) => {
      const client = await joined(url);
      const publishOne = async (i: number) => {
        await client.publishAsync(readingTopic(probe), stamped(20, atMs + i), { qos: 1 });
        if (!committed.has(`${probe} ${atMs + i}`)) early += 1;
      };
      await Promise.all(Array.from({ length: 100 }, (_none, i) => publishOne(i)));
    };
    await Promise.all(Array.from({ length: 20 }, (_none, c) => publishAll(`probe-${c}`)));
    expect([early, committed.size]).toEqual([0, 2_000]);
    expect([...committed.values()].every((times) => times === 1)).toBe(true);
  });

  test('are all there after clients were cut off again and again', async () => {
    const { sink, committed } = slowSink();
    const { url } = await opened({}, sink);
    const random = seeded(3);
    let cuts = 0;
    const publishAll = async (probe: string) => {
      const client = await joined(url, { clean: false, clientId: probe });
      const sent: Promise<unknown>[] = [];
      for (let i = 0; i < 150; i += 1) {
        sent.push(publishSurely(client, probe, atMs + i));
        if (random() < 0.04) {
          cuts += 1;
          client.stream.destroy();
        }
        if (i % 5 === 0) await new Promise((resolve) => setImmediate(resolve));
      }
      await Promise.all(sent);
    };
    await Promise.all(Array.from({ length: 20 }, (_none, c) => publishAll(`probe-${c}`)));
    expect(cuts).toBeGreaterThan(60);
    expect(committed.size).toBe(20 * 150);
  });

  test('come again, marked as late, where a commit failed', async () => {
    const { sink, url } = await opened();
    const client = await joined(url);
    sink.failNext(1);
    await client.publishAsync(readingTopic('jar'), '31.5', { qos: 1 });
    expect(sink.readings()).toEqual([
      { probe: 'jar', tempC: 31.5, atMs: null, undated: false },
      { probe: 'jar', tempC: 31.5, atMs: null, undated: true },
    ]);
  });

  test('at QoS 0 are offered as what nobody sends again, and a failed commit leaves the client joined', async () => {
    const { sink, url } = await opened();
    const client = await joined(url);
    const closes = vi.fn();
    client.on('close', closes);
    sink.failNext(1);
    await client.publishAsync(readingTopic('jar'), '31.5', { qos: 0 });
    await client.publishAsync(readingTopic('jar'), '31.25', { qos: 1 });
    expect(sink.offers.map(({ canResend }) => canResend)).toEqual([false, true]);
    expect(closes).not.toHaveBeenCalled();
  });

  test('are taken at QoS 2 and from 3.1, and from a mapped topic', async () => {
    const topic = 'larder/fridge';
    const { sink, url } = await opened({
      mappings: [{ topic, probe: 'fridge', pointer: '/t', unit: 'C', scale: 1 }],
    });
    const client = await joined(url);
    await client.publishAsync(readingTopic('jar'), '31.5', { qos: 2 });
    const old = await joined(url, { protocolVersion: 3, protocolId: 'MQIsdp', clientId: 'old' });
    await old.publishAsync(topic, '{"t":3.9}', { qos: 1 });
    expect(sink.readings().map(({ probe, tempC }) => [probe, tempC])).toEqual([
      ['jar', 31.5],
      ['fridge', 3.9],
    ]);
  });

  test('may be late on a session that is to be resumed, unless they are stamped', async () => {
    const { sink, url } = await opened();
    const resuming = await joined(url, { clean: false, clientId: 'resuming' });
    await resuming.publishAsync(readingTopic('jar'), '31.5', { qos: 1 });
    await resuming.publishAsync(readingTopic('jar'), stamped(31.25, atMs), { qos: 1 });
    const fresh = await joined(url, { clean: true });
    await fresh.publishAsync(readingTopic('jar'), '31', { qos: 1 });
    expect(sink.readings().map(({ tempC, atMs, undated }) => [tempC, atMs, undated])).toEqual([
      [31.5, null, true],
      [31.25, atMs, false],
      [31, null, false],
    ]);
  });
});

describe('what a client of the embedded broker may not do', () => {
  test.each([
    ['the house’s own words', `springhouse/${house}/notice`],
    ['another house', 'springhouse/other/reading/jar'],
    ['an id that is none', `springhouse/${house}/reading/a b`],
    ['a level more', `springhouse/${house}/reading/jar/more`],
    ['anything else', 'kitchen/lamp'],
  ])('publish to %s: it is acknowledged, counted and goes no further', async (_what, topic) => {
    const { sink, url } = await opened();
    const client = await joined(url);
    const heard = await hearing(client, `springhouse/${house}/#`);
    await client.publishAsync(topic, '1', { qos: 1, retain: true });
    await client.publishAsync(topic, '1', { qos: 0 });
    await client.publishAsync(readingTopic('jar'), '31.5', { qos: 1 });
    expect(sink.refusals().map(({ code, source }) => [code, source])).toEqual([
      ['WIRE_PROBE', 'broker'],
      ['WIRE_PROBE', 'broker'],
    ]);
    const newcomer = await hearing(await joined(url), `springhouse/${house}/#`);
    await vi.waitFor(() => expect(newcomer).toEqual([[`springhouse/${house}/alive`, '1']]));
    expect(heard).toEqual([[`springhouse/${house}/alive`, '1']]);
  });

  test('subscribe to anything but the topics of this house', async () => {
    const { url } = await opened();
    const client = await joined(url);
    for (const filter of [
      '#',
      '+/larkfell/#',
      'springhouse/#',
      'springhouse/other/#',
      '$SYS/#',
      `springhouse/${house}`,
    ]) {
      await expect(client.subscribeAsync(filter)).rejects.toThrow('Unspecified error');
    }
    expect(await client.subscribeAsync(`springhouse/${house}/watch/+`, { qos: 1 })).toMatchObject([
      { qos: 1 },
    ]);
  });

  test('subscribe to more filters, or longer ones, than are kept', async () => {
    const { url } = await opened();
    const client = await joined(url);
    for (let i = 0; i < 64; i += 1) await client.subscribeAsync(`springhouse/${house}/state/probe-${i}`);
    await expect(client.subscribeAsync(`springhouse/${house}/notice`)).rejects.toThrow('Unspecified error');
    const other = await joined(url);
    const long = `springhouse/${house}/${'x'.repeat(256)}`;
    await expect(other.subscribeAsync(long)).rejects.toThrow('Unspecified error');
  });

  test('leave a will', async () => {
    const { sink, url } = await opened();
    const topic = `springhouse/${house}/alive`;
    const dying = await joined(url, { will: { topic, payload: Buffer.from('0'), qos: 1, retain: true } });
    const other = await joined(url);
    const heard = await hearing(other, topic);
    dying.stream.destroy();
    await other.publishAsync(readingTopic('jar'), '31.5', { qos: 1 });
    expect([sink.refusals(), heard]).toEqual([[], [[topic, '1']]]);
  });

  test('join with MQTT 5: it is told that the version is not spoken', async () => {
    const { url } = await opened();
    const client = connect(url, { protocolVersion: 5, reconnectPeriod: 0 });
    const error = await new Promise<Error>((resolve) => client.once('error', resolve));
    expect(error.message).toBe('Connection refused: Unacceptable protocol version');
    await client.endAsync(true);
  });

  test('fill the memory by a message that is too long: it is refused, and acknowledged', async () => {
    const { sink, url } = await opened();
    const client = await joined(url);
    await client.publishAsync(readingTopic('jar'), 'x'.repeat(3_000_000), { qos: 1 });
    await client.publishAsync(readingTopic('jar'), '31.5', { qos: 1 });
    expect(sink.refusals()).toEqual([
      {
        source: 'broker',
        probe: 'jar',
        code: 'WIRE_LONG',
        message:
          `message on "${readingTopic('jar')}" must be ${payloadBytesMax} bytes at most, got more. ` +
          'Send the readings in several messages.',
      },
    ]);
    expect(sink.readings()).toHaveLength(1);
  });

  test.each([
    ['a CONNECT of 200 MB', [0x10, 0xff, 0xff, 0xff, 0x5f]],
    ['a length that is none', [0x30, 0xff, 0xff, 0xff, 0xff, 0xff]],
    ['no MQTT at all', [...Buffer.from('GET / HTTP/1.1\r\n\r\n')]],
  ])('send %s: it is disconnected', async (_what, bytes) => {
    const { url } = await opened();
    const socket = connectSocket(Number(new URL(url).port), '127.0.0.1');
    const closed = new Promise((resolve) => socket.on('close', resolve));
    socket.on('error', () => {}).resume();
    socket.write(Buffer.from(bytes));
    await closed;
  });

  test.each([
    ['one by one', 1],
    ['in pieces that end within a message', 7],
    ['all at once', 3_000],
  ])('have more unanswered than are kept, sent %s', async (_how, together) => {
    const { broker, sink, url } = await opened();
    sink.hold();
    const socket = connectSocket({ port: Number(new URL(url).port), host: '127.0.0.1', noDelay: true });
    socket.on('error', () => {});
    onTestFinished(() => {
      socket.destroy();
    });
    let answeredBytes = 0;
    socket.on('data', (bytes) => {
      answeredBytes += bytes.length;
    });
    socket.write(connectPacket);
    const all = Buffer.concat(
      Array.from({ length: 3_000 }, (_none, i) => publishPacket(i + 1, String(i % 40))),
    );
    const pieceBytes = Math.ceil(together * publishPacket(1, '10').length - (together === 7 ? 3 : 0));
    for (let at = 0; at < all.length; at += pieceBytes) {
      socket.write(all.subarray(at, at + pieceBytes));
      await new Promise((resolve) => setImmediate(resolve));
    }
    await vi.waitFor(() => expect(broker.unanswered()).toBeGreaterThan(unansweredMax - 1));
    const read = await settled(() => broker.unanswered());
    expect(read).toBeLessThan(2_500);
    sink.commit();
    await vi.waitFor(() => expect(answeredBytes).toBe(4 + 3_000 * 4), { timeout: 5_000 });
    expect(sink.readings().map(({ tempC }) => tempC)).toEqual(
      Array.from({ length: 3_000 }, (_none, i) => i % 40),
    );
  });
});

describe('the embedded broker as a server', () => {
  test('waits for its port and takes it once it is free', async () => {
    const port = await freePort();
    const other = createServer();
    await new Promise<void>((resolve) => other.listen(port, '127.0.0.1', resolve));
    const { broker, sink } = await opened({ port, waits: { firstMs: 10, longestMs: 20 } });
    expect(sink.states[0]).toEqual({
      state: 'waiting',
      why: `listen EADDRINUSE: address already in use 127.0.0.1:${port}, again in 0.01 s`,
    });
    expect(broker.url()).toBe(null);
    await new Promise((resolve) => other.close(resolve));
    await vi.waitFor(() => expect(sink.states.at(-1)?.state).toBe('open'));
    expect(broker.url()).toBe(`mqtt://127.0.0.1:${port}`);
  });

  test('closes within a second with clients that do not read, and says that the house is gone', async () => {
    const sink = createRecordingSink();
    const broker = createEmbeddedBroker(atHome);
    await broker.open(sink);
    const url = broker.url() ?? '';
    const heard = await hearing(await joined(url, { reconnectPeriod: 0 }), `springhouse/${house}/alive`);
    const still = await joined(url, { reconnectPeriod: 0 });
    await still.subscribeAsync(`springhouse/${house}/#`);
    still.stream.pause();
    connectSocket(Number(new URL(url).port), '127.0.0.1').on('error', () => {});
    sink.hold();
    void (await joined(url, { reconnectPeriod: 0 })).publish(readingTopic('jar'), '31.5', { qos: 1 });
    await vi.waitFor(() => expect(broker.unanswered()).toBe(1));
    const fromMs = performance.now();
    await Promise.all([broker.close(), broker.close()]);
    expect(performance.now() - fromMs).toBeLessThan(1_000);
    await vi.waitFor(() => expect(heard.map(([, payload]) => payload)).toEqual(['1', '0']));
    expect(sink.states.at(-1)).toEqual({ state: 'closed', why: 'closed' });
    expect(broker.url()).toBe(null);
  });

  test('closes before it was ever opened', async () => {
    await createEmbeddedBroker(atHome).close();
  });

  test('refuses an address that is not of this machine alone, and a house that is no topic', () => {
    expect(() => createEmbeddedBroker({ ...atHome, host: '0.0.0.0' })).toThrow(
      'BROKER_HOST: the host of source broker must be 127.0.0.1, ::1 or localhost, got 0.0.0.0. Choose one of these.',
    );
    expect(() => createEmbeddedBroker({ ...atHome, house: 'a/b' })).toThrow(
      'BROKER_HOUSE: the house of source broker must be a topic level without "/", "+" and "#", got "a/b". Give the house such an id.',
    );
  });
});

/** Subscribes and returns the topics and payloads that come from then on. */
async function hearing(client: MqttClient, filter: string): Promise<[string, string][]> {
  const heard: [string, string][] = [];
  client.on('message', (topic, payload) => heard.push([topic, payload.toString()]));
  await client.subscribeAsync(filter, { qos: 1 });
  await vi.waitFor(() => expect(heard.length).toBeGreaterThan(0));
  return heard;
}

/** Resolves with a figure once it has stayed the same over twenty looks. */
async function settled(look: () => number): Promise<number> {
  let last = look();
  let same = 0;
  while (same < 20) {
    await new Promise((resolve) => setTimeout(resolve, 5));
    same = look() === last ? same + 1 : 0;
    last = look();
  }
  return last;
}
