import { type ChildProcess, spawn } from 'node:child_process';
import { chmod, mkdtemp, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir, userInfo } from 'node:os';
import { join } from 'node:path';
import { connect, type MqttClient } from 'mqtt';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { sessionExpiryS } from '../../probes/mqtt/dial.ts';
import { payloadBytesMax } from '../../probes/mqtt/reading-message.ts';
import { unackedMax } from '../../probes/mqtt/unacknowledged.ts';
import { freePort } from '../machine/mosquitto.ts';
import { lacks, pathOf } from '../machine/what-this-machine-lacks.ts';

const deployed = await readFile('deploy/mosquitto/springhouse.conf', 'utf8');
const count = 200;

/** The value of a setting; the test fails where it is not given exactly once. */
function setting(name: string): string {
  const found = [...deployed.matchAll(new RegExp(`^${name} (.+)$`, 'gm'))].map(([, value]) => value ?? '');
  expect([name, found.length]).toEqual([name, 1]);
  return found[0] ?? '';
}

describe('the settings of mosquitto', () => {
  it('hold a day of 16 probes at one reading a second, and what Springhouse takes at once', () => {
    const day = 16 * 86_400;
    expect(Number(setting('max_queued_messages'))).toBeGreaterThanOrEqual(day);
    expect(Number(setting('max_queued_bytes'))).toBe(Number(setting('max_queued_messages')) * 128);
    expect(Number(setting('max_inflight_messages'))).toBe(unackedMax);
    expect(Number(setting('max_packet_size'))).toBe(payloadBytesMax + 1024);
    expect(setting('persistent_client_expiration')).toBe(`${sessionExpiryS / 86_400}d`);
  });

  it('listen on the loopback alone until somebody adds a listener with passwords', () => {
    expect(setting('listener')).toBe('1883 127.0.0.1');
    expect(deployed).toMatch(/^#allow_anonymous false$/m);
  });
});

describe.skipIf(lacks('mosquitto'))('mosquitto with these settings', () => {
  let folder = '';
  let port = 0;
  let broker: ChildProcess | null = null;
  const clients: MqttClient[] = [];

  beforeEach(async () => {
    folder = await mkdtemp(join(tmpdir(), 'springhouse-mosquitto-'));
    await chmod(folder, 0o700);
    port = await freePort();
  });
  afterEach(async () => {
    for (const client of clients.splice(0)) await client.endAsync(true);
    await kill();
    await rm(folder, { recursive: true, force: true });
  });

  async function start(autosaveS: string): Promise<void> {
    const config = join(folder, 'mosquitto.conf');
    const text = deployed
      .replace('listener 1883 ', `listener ${port} `)
      .replace('/var/lib/mosquitto/', `${folder}/`)
      .replace('autosave_interval 60', `autosave_interval ${autosaveS}`);
    await writeFile(config, `${text}\nuser ${userInfo().username}\n`);
    broker = spawn(pathOf('mosquitto') ?? '', ['-c', config], { stdio: 'ignore' });
  }

  async function kill(): Promise<void> {
    const dying = broker;
    broker = null;
    if (dying === null || dying.exitCode !== null) return;
    const ended = new Promise((resolve) => dying.once('exit', resolve));
    dying.kill('SIGKILL');
    await ended;
  }

  /** A client of a session that is kept; tries until the broker has come up. It hears from the first moment. */
  async function client(clientId: string, hear: (text: string) => void = () => {}): Promise<MqttClient> {
    const made = connect(`mqtt://127.0.0.1:${port}`, {
      clientId,
      clean: false,
      protocolVersion: 5,
      properties: { sessionExpiryInterval: sessionExpiryS },
      reconnectPeriod: 20,
    });
    clients.push(made);
    made.on('message', (_topic, payload) => hear(String(payload)));
    await new Promise((resolve) => made.once('connect', resolve));
    return made;
  }

  /** Subscribes, goes away, and has `count` numbered messages acknowledged meanwhile. */
  async function queueForAbsent(): Promise<void> {
    const house = await client('house');
    await house.subscribeAsync('springhouse/+/reading/+', { qos: 1 });
    await house.endAsync();
    const probe = await client('probe');
    const sent = Array.from({ length: count }, (_, index) =>
      probe.publishAsync('springhouse/larkfell/reading/jar-1', String(index), { qos: 1 }),
    );
    await Promise.all(sent);
    await probe.endAsync();
  }

  /** What arrives in the resumed session of the absent client, up to a last message that is sent now. */
  async function heardAfterRestart(): Promise<string[]> {
    const heard: string[] = [];
    let end = () => {};
    const ended = new Promise<void>((resolve) => {
      end = resolve;
    });
    const house = await client('house', (text) => (text === 'end' ? end() : heard.push(text)));
    await house.subscribeAsync('springhouse/+/reading/+', { qos: 1 });
    const probe = await client('probe');
    await probe.publishAsync('springhouse/larkfell/reading/jar-1', 'end', { qos: 1 });
    await ended;
    return heard;
  }

  /** Waits until the broker has written its file anew, after this instant and whole. */
  async function untilSaved(sinceMs: number): Promise<void> {
    const deadlineMs = performance.now() + 10_000;
    const savedAtMs = () =>
      stat(join(folder, 'mosquitto.db')).then(
        ({ mtimeMs }) => mtimeMs,
        () => 0,
      );
    while ((await savedAtMs()) <= sinceMs) {
      if (performance.now() > deadlineMs) throw new Error('mosquitto must have saved within 10 s');
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
  }

  it('keeps every queued message over a kill after its autosave', async () => {
    await start('1');
    await queueForAbsent();
    await untilSaved(Date.now());
    await kill();
    await start('1');
    expect(await heardAfterRestart()).toEqual(Array.from({ length: count }, (_, index) => String(index)));
  });

  it('loses what it queued since its last autosave, as the file says', async () => {
    await start('60');
    await queueForAbsent();
    await kill();
    await start('60');
    expect(await heardAfterRestart()).toEqual([]);
  });
});
