import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { Springhouse } from '../../../daemon/compose.ts';
import { openWebhookReceiver, type WebhookReceiver } from '../../machine/webhook-receiver.ts';
import { makeTestFolder, type TestFolder, until } from '../open-test-house.ts';
import { openNotifyHouse, sendDoomedJar } from './notify-house.ts';

const secret = 'twenty-four bytes and more';

describe('a house whose disk refuses every write', () => {
  let folder: TestFolder;
  let receiver: WebhookReceiver;
  let house: Springhouse | null = null;

  beforeEach(async () => {
    folder = await makeTestFolder();
    receiver = await openWebhookReceiver(secret);
    process.env.SPRINGHOUSE_TEST_HOOK = secret;
  });

  afterEach(async () => {
    await house?.close().catch(() => {});
    house = null;
    await receiver.close();
    await folder.remove();
  });

  const lines = () =>
    `ways:\n  - { id: hook, kind: webhook, url: "${receiver.url}", secretEnv: SPRINGHOUSE_TEST_HOOK }\n`;
  const warnings = () => receiver.calls.filter(({ event }) => event.data.code === 'chill-will-miss');

  it('still warns, and says that it is not recorded', async () => {
    // The first writes are those of the start itself.
    house = await openNotifyHouse(folder.dataDir, lines(), { writer: { failNthWrite: 12, failWrites: 1e9 } });
    await sendDoomedJar(house, { waits: false });
    await until(
      async () => warnings().length,
      (count) => count > 0,
    );
    expect(warnings()[0]?.event.data).toMatchObject({ recorded: false, weight: 'warn' });
    expect(warnings()[0]?.event.data.text).toMatch(/Not recorded: the disk of the house refuses to write\./);
    const health = await fetch(`${house.url}/health`);
    expect([health.status, ((await health.json()) as { faults: string[] }).faults.length > 0]).toEqual([
      503,
      true,
    ]);
  });

  it('raises an alarm of its own by every way, once, and keeps it with its end when the disk takes writes again', async () => {
    house = await openNotifyHouse(folder.dataDir, lines(), {
      writer: { failNthWrite: 12, failWrites: 12 },
      diskAlarm: { afterMs: 50, everyMs: 20 },
    });
    const alarms = () => receiver.calls.filter(({ event }) => event.data.code?.startsWith('disk-'));
    void sendDoomedJar(house, { waits: false }).catch(() => {});
    await until(
      async () => alarms().length,
      (count) => count > 0,
    );
    expect(alarms()[0]?.event.data).toMatchObject({ code: 'disk-refuses', weight: 'alarm', recorded: false });
    expect(alarms()[0]?.event.data.text).toMatch(/its disk refuses to write since .* Make room on the disk/);
    const url = house.url;
    const kinds = async () => {
      const { events } = (await (await fetch(`${url}/api/record?after=0&limit=1000`)).json()) as {
        events: { kind: string }[];
      };
      return events.map(({ kind }) => kind).filter((kind) => kind.startsWith('disk-'));
    };
    expect(await until(kinds, (found) => found.length >= 2)).toEqual(['disk-refuses', 'disk-takes']);
    await until(
      async () => alarms().map(({ event }) => event.data.code),
      (codes) => codes.includes('disk-takes'),
    );
    expect(alarms().filter(({ event }) => event.data.code === 'disk-refuses')).toHaveLength(1);
  });
});
