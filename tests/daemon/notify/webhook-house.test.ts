import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { Springhouse } from '../../../daemon/compose.ts';
import { openWebhookReceiver, type WebhookReceiver } from '../../machine/webhook-receiver.ts';
import { makeTestFolder, type TestFolder, until } from '../open-test-house.ts';
import { openNotifyHouse, sendDoomedJar } from './notify-house.ts';

const secret = 'twenty-four bytes and more';

describe('a house with a webhook', () => {
  let folder: TestFolder;
  let receiver: WebhookReceiver;
  let house: Springhouse | null = null;
  let lines: string;

  beforeEach(async () => {
    folder = await makeTestFolder();
    receiver = await openWebhookReceiver(secret);
    process.env.SPRINGHOUSE_TEST_HOOK = secret;
    lines = `ways:\n  - { id: hook, kind: webhook, url: "${receiver.url}", secretEnv: SPRINGHOUSE_TEST_HOOK }\n`;
  });

  afterEach(async () => {
    await house?.close();
    house = null;
    await receiver.close();
    await folder.remove();
  });

  const arrived = (count: number) =>
    until(
      async () => receiver.calls.map(({ event }) => event.data.code),
      (codes) => codes.length >= count,
    );

  it('posts a warning as a signed CloudEvent', async () => {
    house = await openNotifyHouse(folder.dataDir, lines);
    await sendDoomedJar(house);
    await arrived(1);
    const [call] = receiver.calls;
    expect(call?.signed).toBe(true);
    expect(call?.headers['content-type']).toBe('application/cloudevents+json; charset=utf-8');
    expect(call?.event).toMatchObject({
      specversion: '1.0',
      id: call?.headers['webhook-id'],
      source: `/springhouse/${house.id}`,
      type: 'springhouse.letter.v1',
      data: {
        v: 1,
        house: house.id,
        receiver: 'house',
        why: 'first',
        weight: 'warn',
        code: 'chill-will-miss',
        recorded: true,
      },
    });
    expect(call?.event.data.text).toMatch(/^Bramble: into .* ice/);
  });

  it('brings what waited once the receiver is back, also to a house that was started anew, once', async () => {
    await receiver.down();
    house = await openNotifyHouse(folder.dataDir, lines);
    await sendDoomedJar(house);
    const { url } = house;
    await until(
      async () => (await (await fetch(`${url}/api/notices`)).json()) as { notices: unknown[] },
      ({ notices }) => notices.length > 0,
    );
    await house.close();
    house = null;
    await receiver.up();
    house = await openNotifyHouse(folder.dataDir, lines);
    await arrived(1);
    await house.close();
    house = await openNotifyHouse(folder.dataDir, lines);
    await sendDoomedJar(house);
    expect(receiver.calls.filter(({ event }) => event.data.code === 'chill-will-miss')).toHaveLength(1);
  });

  it('tries again where the receiver fails, with the same id', async () => {
    receiver.answer(503);
    house = await openNotifyHouse(folder.dataDir, lines);
    await sendDoomedJar(house);
    await until(
      async () => receiver.refused.length,
      (count) => count > 0,
    );
    receiver.answer(204);
    await arrived(1);
    expect(receiver.calls[0]?.event.id).toBe(receiver.refused[0]?.event.id);
  });
});
