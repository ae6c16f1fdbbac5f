/**
 * From a reading to its notice on the wire: 200 readings a second from 200 probes within their share, 4 of
 * them in an open chill; a chill whose time is up makes a notice with its next reading, whose letter goes to
 * a webhook. Measured from the reading's publishing to the webhook's receipt.
 */
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { connect, type MqttClient } from 'mqtt';
import type { Springhouse } from '../../daemon/compose.ts';
import { senmlOf } from '../../probes/simulated/senml-pack.ts';
import { houseOf, openTestHouse } from '../daemon/open-test-house.ts';
import { openWebhookReceiver, type WebhookReceiver } from '../machine/webhook-receiver.ts';
import type { Bench, BenchSize } from './figure.ts';
import { rounded } from './figure.ts';

const noticesOf: Record<BenchSize, number> = { small: 16, full: 80 };
const probes = 200;
const chills = 4;
/** The first notices compile what all others use. */
const warmUp = 3;
const perSecond = 200;
/** Between two notices. More than twenty a minute to one person are gathered, so in the full size each waits its turn. */
const noticeEveryMs: Record<BenchSize, number> = { small: 50, full: 3_050 };
const secret = 'twenty-four bytes and more';

export const noticeBench: Bench = async (size, tell) => {
  const count = noticesOf[size];
  const dataDir = await mkdtemp(join(tmpdir(), 'springhouse-bench-'));
  const receiver = await openWebhookReceiver(secret);
  const house = await openHouse(dataDir, receiver);
  const client = await connected(house.brokerUrl as string);
  try {
    const load = keepLoad(client, house.id);
    const delaysMs: number[] = [];
    const bareMs: number[] = [];
    for (let index = 0; index < count + warmUp; index++) {
      const delayMs = await oneNotice({ house, client, receiver, index });
      const callMs = await bareCall(receiver);
      if (index >= warmUp) {
        delaysMs.push(delayMs);
        bareMs.push(callMs);
      }
      await new Promise((resolve) => setTimeout(resolve, noticeEveryMs[size]));
    }
    const readings = load.stop();
    const bareP99 = quantile(bareMs, 0.99);
    for (const [name, share] of [
      ['p50', 0.5],
      ['p99', 0.99],
    ] as const) {
      const value = quantile(delaysMs, share);
      tell({
        bench: 'notice',
        figure: `reading to notice on the wire, ${name}, at ${perSecond} readings/s`,
        value: rounded(value),
        unit: 'ms',
        versus: `a bare call of the webhook, p99 ${rounded(bareP99)} ms`,
        ratio: rounded(value / bareP99),
      });
    }
    return `${count} notices, ${readings} readings`;
  } finally {
    client.end(true);
    await house.close();
    await receiver.close();
    await rm(dataDir, { recursive: true, force: true });
  }
};

function quantile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.ceil(share * sorted.length) - 1)] ?? Number.NaN;
}

async function openHouse(dataDir: string, receiver: WebhookReceiver): Promise<Springhouse> {
  process.env.SPRINGHOUSE_BENCH_HOOK = secret;
  const text = [
    'version: 1',
    'house: { name: Bench, height: 0 m, zone: UTC, units: C }',
    'http: { port: 0 }',
    'clock: { trust: always }',
    'broker: { port: 0 }',
    `probes:\n${Array.from({ length: probes }, (_, index) => `  - { id: p${index} }`).join('\n')}`,
    `ways:\n  - { id: hook, kind: webhook, url: "${receiver.url}", secretEnv: SPRINGHOUSE_BENCH_HOOK }`,
    'people:\n  - { id: milker, ways: [hook] }',
  ].join('\n');
  return openTestHouse(dataDir, { house: houseOf(text) });
}

async function connected(url: string): Promise<MqttClient> {
  const client = connect(url, { reconnectPeriod: 0 });
  await new Promise((resolve) => client.once('connect', resolve));
  return client;
}

/** Publishes the even load: all but the four probes in a chill hang in cold, those in milk that cools slowly. */
function keepLoad(client: MqttClient, house: string): { stop(): number } {
  let sent = 0;
  const fromMs = performance.now();
  const timer = setInterval(() => {
    const due = Math.floor(((performance.now() - fromMs) / 1000) * perSecond);
    for (; sent < due; sent++) {
      const probe = sent % probes;
      if (probe < chills) continue;
      publish(client, house, { probe: `p${probe}`, tempC: 3 + (sent % 7) / 16 });
    }
  }, 5);
  return {
    stop: () => {
      clearInterval(timer);
      return sent;
    },
  };
}

function publish(client: MqttClient, house: string, reading: { probe: string; tempC: number }): void {
  const pack = senmlOf([{ ...reading, atMs: Date.now() }]);
  client.publish(`springhouse/${house}/reading/${reading.probe}`, pack, { qos: 1 });
}

type One = { house: Springhouse; client: MqttClient; receiver: WebhookReceiver; index: number };

/** Begins a chill whose time is up, publishes its next reading, and returns how long its letter took, ms. */
async function oneNotice({ house, client, receiver, index }: One): Promise<number> {
  const probe = `p${index % chills}`;
  const word = { kind: 'chill-begin', probe, sinceMs: Date.now() - 120_000, spanMs: 60_000 };
  const said = await fetch(`${house.url}/api/words`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ v: 1, id: `word-${index}`.padEnd(12, '-'), word }),
  });
  if (said.status !== 200) throw new Error(`the word must be taken, got ${said.status}`);
  const before = receiver.calls.length;
  const fromMs = performance.now();
  publish(client, house.id, { probe, tempC: 20 });
  const deadlineMs = fromMs + 90_000;
  while (receiver.calls.length === before) {
    if (performance.now() > deadlineMs) throw new Error(`notice ${index} must arrive within 90 s`);
    await new Promise((resolve) => setImmediate(resolve));
  }
  return performance.now() - fromMs;
}

/** The least that a letter needs: one call over loopback. */
async function bareCall(receiver: WebhookReceiver): Promise<number> {
  const fromMs = performance.now();
  await fetch(receiver.url, { method: 'POST', body: '{}' });
  const spanMs = performance.now() - fromMs;
  receiver.calls.pop();
  return spanMs;
}
