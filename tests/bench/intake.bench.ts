/**
 * Readings a second through the whole way (broker, decode, commit, watch, acknowledge), from 200 probes
 * within their share of which 4 are in an open chill, against a bare subscriber and a bare broker.
 */
import { spawn } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { monitorEventLoopDelay } from 'node:perf_hooks';
import { fileURLToPath } from 'node:url';
import { Aedes } from 'aedes';
import { connect } from 'mqtt';
import type { Springhouse } from '../../daemon/compose.ts';
import { houseOf, openTestHouse } from '../daemon/open-test-house.ts';
import { freePort, type Mosquitto, startMosquitto } from '../machine/mosquitto.ts';
import type { Bench, BenchSize, Figure } from './figure.ts';
import { rounded } from './figure.ts';
import { type LoadOptions, loadProbeIds } from './load-population.ts';
import type { LoadPublishing } from './load-publisher.ts';

const counts: Record<BenchSize, number> = { small: 4_000, full: 120_000 };
const probes = 200;
const chills = 4;
const versions = { '3.1.1': 4, '5.0': 5 } as const;

/** Limits as deploy/mosquitto has them: as many in flight as a commit of 50 ms needs. */
const brokerLimits = ['max_inflight_messages 4000', 'max_queued_bytes 0'];

export const intakeBench: Bench = async (size, tell) => {
  const count = counts[size];
  const sums: number[] = [];
  const mosquitto = await startMosquitto(brokerLimits);
  try {
    for (const version of ['3.1.1', '5.0'] as const) {
      for (const flow of ['live', 'backlog'] as const) {
        const perSecond = await fromMosquittoBare(mosquitto, { version, flow, count });
        for (const commitDelayMs of [0, 50]) {
          const ours = await fromMosquitto(mosquitto, { version, flow, count, commitDelayMs });
          const slow = commitDelayMs === 0 ? '' : `, commits slowed by ${commitDelayMs} ms`;
          const what = `${flow} from mosquitto by MQTT ${version}${slow}`;
          sums.push(ours.stored);
          tell(rate(what, ours.perSecond, { name: 'bare mqtt subscriber', perSecond }));
          tell(delay(`event loop p99, ${what}`, ours.delayP99Ms));
        }
      }
    }
  } finally {
    await mosquitto.stop();
  }
  for (const clients of [1, 20]) {
    const bare = await fillBareBroker(clients, count);
    const ours = await fillOurs(clients, count);
    sums.push(ours.stored);
    const what = `into the embedded broker from ${clients} client${clients === 1 ? '' : 's'}`;
    tell(rate(what, ours.perSecond, { name: 'aedes alone', perSecond: bare }));
    tell(delay(`event loop p99, ${what}`, ours.delayP99Ms));
  }
  return `${sums.join('+')} readings stored`;
};

function rate(figure: string, perSecond: number, bare: { name: string; perSecond: number }): Figure {
  const ratio = rounded(perSecond / bare.perSecond);
  return {
    bench: 'intake',
    figure,
    value: Math.round(perSecond),
    unit: 'readings/s',
    versus: `${bare.name}, ${Math.round(bare.perSecond)} messages/s`,
    ratio,
  };
}

function delay(figure: string, ms: number): Figure {
  return { bench: 'intake', figure, value: rounded(ms), unit: 'ms', versus: null, ratio: null };
}

type Drained = { perSecond: number; stored: number; delayP99Ms: number };

type Flow = {
  version: keyof typeof versions;
  /** `live`: published while we listen; `backlog`: all waits in the kept session when we come. */
  flow: 'live' | 'backlog';
  count: number;
};

async function fromMosquitto(mosquitto: Mosquitto, o: Flow & { commitDelayMs: number }): Promise<Drained> {
  const { version, flow, count, commitDelayMs } = o;
  const dataDir = await mkdtemp(join(tmpdir(), 'springhouse-bench-'));
  try {
    const number = version === '5.0' ? 5 : 3;
    const wire = `sources:\n  - { id: outside, kind: mqtt, url: "${mosquitto.url}", version: ${number} }`;
    const first = await openHouse({ dataDir, wire, commitDelayMs: 0 });
    await first.close();
    const load = { url: mosquitto.url, clients: 4, inFlight: 500, load: loadOf(first.id, count) };
    if (flow === 'backlog') await publish(load);
    let publishing: Promise<number> | null = null;
    const drained = await timed(count, 2, async () => {
      const house = await openHouse({ dataDir, wire, commitDelayMs });
      if (flow === 'live') publishing = publish(load);
      return house;
    });
    await publishing;
    return drained;
  } finally {
    await rm(dataDir, { recursive: true, force: true });
  }
}

async function fromMosquittoBare(mosquitto: Mosquitto, { version, flow, count }: Flow): Promise<number> {
  const house = `bare-${flow}-${version.replaceAll('.', '')}`;
  const settings = {
    clientId: house,
    clean: false,
    protocolVersion: versions[version],
    ...(version === '5.0' ? { properties: { sessionExpiryInterval: 3_600, receiveMaximum: 65_535 } } : {}),
  } as const;
  const first = connect(mosquitto.url, settings);
  await new Promise((resolve) => first.once('connect', resolve));
  await first.subscribeAsync(`springhouse/${house}/reading/+`, { qos: 1 });
  await first.endAsync();
  const load = { url: mosquitto.url, clients: 4, inFlight: 500, load: loadOf(house, count) };
  if (flow === 'backlog') await publish(load);
  const client = connect(mosquitto.url, settings);
  const received = new Promise<number>((resolve) => {
    let messages = 0;
    let startMs = 0;
    client.on('message', () => {
      if (messages === 0) startMs = performance.now();
      messages += 1;
      if (messages === count) resolve(performance.now() - startMs);
    });
  });
  const publishing = flow === 'live' ? publish(load) : null;
  const spanMs = await received;
  await publishing;
  await client.endAsync();
  return (count / spanMs) * 1000;
}

async function fillOurs(clients: number, count: number): Promise<Drained> {
  const dataDir = await mkdtemp(join(tmpdir(), 'springhouse-bench-'));
  try {
    const wire = `broker: { port: ${await freePort()} }`;
    let publishing: Promise<number> | null = null;
    const drained = await timed(count, 1, async () => {
      const house = await openHouse({ dataDir, wire, commitDelayMs: 0 });
      publishing = publish({
        url: house.brokerUrl as string,
        clients,
        inFlight: 100,
        load: loadOf(house.id, count),
      });
      return house;
    });
    const spanMs = await (publishing as unknown as Promise<number>);
    return { ...drained, perSecond: (count / spanMs) * 1000 };
  } finally {
    await rm(dataDir, { recursive: true, force: true });
  }
}

async function fillBareBroker(clients: number, count: number): Promise<number> {
  const aedes = await Aedes.createBroker();
  const server = createServer(aedes.handle);
  const port = await freePort();
  await new Promise<void>((resolve) => server.listen(port, '127.0.0.1', resolve));
  const url = `mqtt://127.0.0.1:${port}`;
  const spanMs = await publish({ url, clients, inFlight: 100, load: loadOf('bare', count) });
  await new Promise<void>((resolve) => aedes.close(() => resolve()));
  await new Promise((resolve) => server.close(resolve));
  return (count / spanMs) * 1000;
}

/**
 * Opens a house and times it from its first committed reading to its last; checks that none is
 * missing. Each opening of the house, `starts` of them so far, is an input too.
 */
async function timed(count: number, starts: number, open: () => Promise<Springhouse>): Promise<Drained> {
  const loopDelay = monitorEventLoopDelay({ resolution: 1 });
  const house = await open();
  loopDelay.enable();
  const from = { stored: 0, ms: performance.now() };
  let stored = 0;
  const deadlineMs = performance.now() + 300_000;
  for (;;) {
    stored = house.inputSeq() - starts;
    if (from.stored === 0 && stored > 0) Object.assign(from, { stored, ms: performance.now() });
    if (stored >= count) break;
    if (performance.now() > deadlineMs) throw new Error(`only ${stored} of ${count} readings came`);
    await new Promise((resolve) => setTimeout(resolve, 10));
  }
  const spanMs = performance.now() - from.ms;
  loopDelay.disable();
  await house.close();
  return {
    perSecond: ((count - from.stored) / spanMs) * 1000,
    stored,
    delayP99Ms: loopDelay.percentile(99) / 1e6,
  };
}

async function openHouse(o: { dataDir: string; wire: string; commitDelayMs: number }): Promise<Springhouse> {
  const listed = loadProbeIds(probes).map((id) => `  - { id: ${id} }`);
  const text = [
    'version: 1',
    'house: { name: Bench, height: 0 m, zone: UTC, units: C }',
    'http: { port: 0 }',
    'clock: { trust: always }',
    `probes:\n${listed.join('\n')}`,
    o.wire,
  ].join('\n');
  return openTestHouse(o.dataDir, { house: houseOf(text), writer: { commitDelayMs: o.commitDelayMs } });
}

/** The newest reading is a minute old, so that none is ahead of the clock. */
function loadOf(house: string, count: number): LoadOptions {
  const intervalMs = 1_000;
  const startMs = Math.floor(Date.now() / 1000) * 1000 - Math.ceil(count / probes) * intervalMs - 60_000;
  return { house, probes, chills, count, startMs, seed: 11, intervalMs };
}

/** Lets another process publish and returns how long it took until all was acknowledged, ms. */
function publish(publishing: LoadPublishing): Promise<number> {
  const script = fileURLToPath(new URL('./load-publisher.ts', import.meta.url));
  const child = spawn(process.execPath, [script, JSON.stringify(publishing)], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  return new Promise((resolve, reject) => {
    let out = '';
    child.stdout.on('data', (chunk) => {
      out += chunk;
    });
    child.on('error', reject);
    child.on('exit', (code) => {
      if (code !== 0) reject(new Error(`the publisher ended with ${code}`));
      else resolve((JSON.parse(out) as { spanMs: number }).spanMs);
    });
  });
}
