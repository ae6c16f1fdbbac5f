import type { MqttClient } from 'mqtt';
import { afterAll, beforeAll, describe, expect, onTestFinished, test, vi } from 'vitest';
import {
  aliveMessage,
  noticeMessage,
  stateMessage,
  watchMessage,
} from '../../../daemon/broker/out-topics.ts';
import { openOutsidePublisher } from '../../../daemon/broker/outside-publisher.ts';
import type { Mosquitto } from '../../machine/mosquitto.ts';
import { startMosquitto } from '../../machine/mosquitto.ts';
import { lacks } from '../../machine/what-this-machine-lacks.ts';
import { house, joined, opened, readingTopic, stamped } from './broker-rig.ts';
import { chill, jar, noticeOf } from './said.ts';

const alive = `springhouse/${house}/alive`;
const all = `springhouse/${house}/#`;

/** Subscribes and returns what comes from then on as `topic payload retained`, topics without their house. */
async function hearing(client: MqttClient, filter: string): Promise<string[]> {
  const heard: string[] = [];
  client.on('message', (topic, payload, { retain }) => {
    heard.push(`${topic.replace(`springhouse/${house}/`, '')} ${payload}${retain ? ' retained' : ''}`);
  });
  await client.subscribeAsync(filter, { qos: 1 });
  return heard;
}

describe('speaking through the embedded broker', () => {
  test('reaches those who listen, and newcomers by the last values', async () => {
    const { broker, url } = await opened();
    const heard = await hearing(await joined(url), all);
    broker.publish(stateMessage(house, jar));
    broker.publish(watchMessage(house, chill));
    broker.publish(noticeMessage(house, noticeOf(5)));
    await vi.waitFor(() => expect(heard).toHaveLength(4));
    expect(heard).toEqual([
      'alive 1 retained',
      `state/jar ${JSON.stringify(jar)}`,
      `watch/chill-jar-17 ${JSON.stringify(chill)}`,
      `notice ${JSON.stringify(noticeOf(5))}`,
    ]);
    const newcomer = await hearing(await joined(url), all);
    await vi.waitFor(() => expect(newcomer).toHaveLength(3));
    broker.publish(watchMessage(house, { ...chill, state: 'ended' }));
    await vi.waitFor(() => expect(newcomer.at(-1)).toBe('watch/chill-jar-17 '));
    const last = await hearing(await joined(url), all);
    await vi.waitFor(() => expect(last).toHaveLength(2));
    expect(last.toSorted()).toEqual(['alive 1 retained', `state/jar ${JSON.stringify(jar)} retained`]);
  });

  test('goes on for others when one does not read, and holds up no probe meanwhile', async () => {
    const { broker, url } = await opened();
    const still = await joined(url, { reconnectPeriod: 0 });
    await still.subscribeAsync(all);
    still.stream.pause();
    const heard = await hearing(await joined(url), `springhouse/${house}/notice`);
    const probe = await joined(url);
    const long = { ...watchMessage(house, chill), payload: ' '.repeat(200_000) };
    let said = 0;
    const isHeard = () =>
      vi
        .waitFor(() => expect(heard).toHaveLength(said), { timeout: 500, interval: 1 })
        .then(
          () => true,
          () => false,
        );
    // Until the buffers of the client that does not read are full, and the others wait for it.
    do {
      said += 1;
      broker.publish(long);
      broker.publish(noticeMessage(house, noticeOf(said)));
    } while (await isHeard());
    const fromMs = performance.now();
    await probe.publishAsync(readingTopic('jar'), stamped(31.5, 1_764_000_000_000), { qos: 1 });
    expect(performance.now() - fromMs).toBeLessThan(500);
    await vi.waitFor(() => expect(heard).toHaveLength(said), { timeout: 8_000 });
    expect(broker.dropped()).toBe(0);
  });
});

describe.skipIf(lacks('mosquitto'))('speaking through a broker outside', () => {
  let outside: Mosquitto;
  beforeAll(async () => {
    outside = await startMosquitto(['persistence true', 'autosave_on_changes true', 'autosave_interval 1']);
  });
  afterAll(() => outside.stop());

  const speaking = (clientId: string, protocolVersion: 4 | 5 = 4) => {
    const publisher = openOutsidePublisher({
      house,
      url: outside.url,
      protocolVersion,
      clientId,
      againMs: 30,
    });
    onTestFinished(() => publisher.close());
    return publisher;
  };

  test.each([4, 5] as const)(
    'says the same, and at its end that the house is gone (protocol %d)',
    async (version) => {
      const heard = await hearing(await joined(outside.url), all);
      const publisher = speaking(`house-${version}`, version);
      publisher.publish(stateMessage(house, jar));
      publisher.publish(watchMessage(house, chill));
      publisher.publish(noticeMessage(house, noticeOf(5)));
      await vi.waitFor(() => expect(heard.filter((line) => !line.endsWith('retained'))).toHaveLength(4));
      await Promise.all([publisher.close(), publisher.close()]);
      publisher.publish(noticeMessage(house, noticeOf(6)));
      await vi.waitFor(() => expect(heard.at(-1)).toBe('alive 0'));
      expect(heard.filter((line) => !line.endsWith('retained'))).toEqual([
        `state/jar ${JSON.stringify(jar)}`,
        `watch/chill-jar-17 ${JSON.stringify(chill)}`,
        `notice ${JSON.stringify(noticeOf(5))}`,
        'alive 1',
        'alive 0',
      ]);
      expect(publisher.dropped()).toBe(1);
    },
  );

  test('keeps what it can while the broker is away: each last value once, every notice', async () => {
    const publisher = speaking('house-away');
    publisher.publish(noticeMessage(house, noticeOf(1)));
    const before = await hearing(await joined(outside.url, { reconnectPeriod: 0 }), alive);
    await vi.waitFor(() => expect(before.at(-1)).toMatch(/^alive 1/));
    await outside.kill();
    for (let i = 2; i <= 40; i += 1) {
      publisher.publish(noticeMessage(house, noticeOf(i)));
      publisher.publish(stateMessage(house, { ...jar, counts: { ...jar.counts, taken: i } }));
    }
    await outside.start();
    const heard = await hearing(await joined(outside.url), all);
    await vi.waitFor(() => expect(heard.join('\n')).toContain('"taken":40'), { timeout: 5_000 });
    expect(publisher.dropped()).toBe(0);
  });

  test('loses no notice when the line breaks again and again', async () => {
    const heard = await hearing(await joined(outside.url), `springhouse/${house}/notice`);
    let breaks = 0;
    const publisher = openOutsidePublisher({
      house,
      url: outside.url,
      protocolVersion: 4,
      clientId: 'house-broken',
      againMs: 10,
    });
    onTestFinished(() => publisher.close());
    // Another client of the same id takes the connection over, which cuts ours.
    for (let i = 1; i <= 200; i += 1) {
      publisher.publish(noticeMessage(house, noticeOf(i)));
      if (i % 40 === 20) {
        breaks += 1;
        const usurper = await joined(outside.url, { clientId: 'house-broken', reconnectPeriod: 0 });
        await usurper.endAsync(true);
      }
      if (i % 5 === 0) await new Promise((resolve) => setImmediate(resolve));
    }
    const seqs = () => new Set(heard.map((line) => /"recordSeq":(\d+)/.exec(line)?.[1]));
    await vi.waitFor(() => expect(seqs().size).toBe(200), { timeout: 8_000 });
    expect([breaks, publisher.dropped()]).toEqual([5, 0]);
  });

  test('is said to be gone by the broker when its process dies', async () => {
    const heard = await hearing(await joined(outside.url), alive);
    const publisher = speaking('house-dying');
    await vi.waitFor(() => expect(heard.at(-1)).toBe('alive 1'));
    const usurper = await joined(outside.url, { clientId: 'house-dying', reconnectPeriod: 0 });
    await vi.waitFor(() => expect(heard).toContain('alive 0'));
    await usurper.endAsync(true);
    await publisher.close();
  });

  test('closes at once where there is no broker', async () => {
    const troubles: string[] = [];
    const publisher = openOutsidePublisher({
      house,
      url: 'mqtt://127.0.0.1:9',
      protocolVersion: 5,
      clientId: 'house-alone',
      onTrouble: (error) => troubles.push((error as NodeJS.ErrnoException).code ?? error.message),
    });
    publisher.publish(aliveMessage(house, true));
    await vi.waitFor(() => expect(troubles).toEqual(['ECONNREFUSED']));
    const fromMs = performance.now();
    await publisher.close();
    expect(performance.now() - fromMs).toBeLessThan(1_000);
  });
});
