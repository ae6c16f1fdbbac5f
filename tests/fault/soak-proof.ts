/**
 * The soak: 2,000 readings a second from 200 probes, four of them in an open chill, for as long as asked.
 * Everything acknowledged is in the history once, and the daemon's memory stays flat after its warm-up.
 */
import { readFileSync } from 'node:fs';
import { connect, type MqttClient } from 'mqtt';
import { openReader } from '../../daemon/reader.ts';
import { loadMessages, loadProbeIds } from '../bench/load-population.ts';
import { freePort } from '../machine/mosquitto.ts';
import { makeDaemonHome } from './daemon-process.ts';

export type SoakReport = {
  proof: 'soak';
  minutes: number;
  perSecond: number;
  acknowledged: number;
  kept: number;
  /** Acknowledged and not kept, or kept twice. */
  lost: number;
  doubled: number;
  /** Resident memory of the daemon, MB: the median of the second quarter and of the last. */
  warmMb: number;
  endMb: number;
  /** The longest that a reading waited for its acknowledgement, ms. */
  slowestMs: number;
  spanMs: number;
};

const probes = 200;
const chills = 4;
const clients = 4;
/** Readings that may stand unacknowledged; beyond, the load waits for the daemon. */
const openMax = 4_000;

/** Runs a daemon of its own and loads it; `perSecond` readings a second in all. */
export async function proveSoak(o: {
  minutes: number;
  perSecond: number;
  seed: number;
}): Promise<SoakReport> {
  const fromMs = performance.now();
  const port = await freePort();
  const ids = loadProbeIds(probes);
  const home = await makeDaemonHome({ wires: `broker: { port: ${port} }`, probes: ids });
  try {
    const url = await home.start();
    const house = ((await (await fetch(`${url}/api/house`)).json()) as { id: string }).id;
    const startMs = Date.now();
    const count = Math.round(o.minutes * 60 * o.perSecond);
    const intervalMs = Math.round((probes / o.perSecond) * 1000);
    const load = loadMessages({ house, probes, chills, count, startMs, seed: o.seed, intervalMs });
    const memory = watchMemory(() => home.pid());
    const sent = await publishPaced(load, `mqtt://127.0.0.1:${port}`, startMs);
    const rssMb = memory.stop();
    await home.stop();
    const { kept, doubled } = await countKept(home.dataDir, ids);
    return {
      proof: 'soak',
      minutes: o.minutes,
      perSecond: o.perSecond,
      acknowledged: sent.acknowledged,
      kept,
      lost: Math.max(0, sent.acknowledged - kept),
      doubled,
      warmMb: median(rssMb.slice(rssMb.length / 4, rssMb.length / 2)),
      endMb: median(rssMb.slice((rssMb.length * 3) / 4)),
      slowestMs: Math.round(sent.slowestMs),
      spanMs: Math.round(performance.now() - fromMs),
    };
  } finally {
    await home.remove();
  }
}

/** Publishes each message when its instant has come, and resolves when all are acknowledged. */
async function publishPaced(
  load: ReturnType<typeof loadMessages>,
  url: string,
  startMs: number,
): Promise<{ acknowledged: number; slowestMs: number }> {
  const dialled = await Promise.all(Array.from({ length: clients }, (_, index) => dial(url, index)));
  const sums = { open: 0, acknowledged: 0, slowestMs: 0 };
  for (const { number, atMs, topic, payload } of load) {
    // A reading may not be ahead of the clock; what came late is sent at once.
    const aheadMs = atMs - Date.now();
    if (aheadMs > 2 || sums.open >= openMax)
      await new Promise((resolve) => setTimeout(resolve, Math.max(1, aheadMs)));
    while (sums.open >= openMax) await new Promise((resolve) => setTimeout(resolve, 1));
    const sentMs = performance.now();
    sums.open += 1;
    (dialled[number % clients] as MqttClient).publish(topic, payload, { qos: 1 }, (error) => {
      sums.open -= 1;
      if (error) return;
      sums.acknowledged += 1;
      sums.slowestMs = Math.max(sums.slowestMs, performance.now() - sentMs);
    });
  }
  while (sums.open > 0) await new Promise((resolve) => setTimeout(resolve, 10));
  for (const client of dialled) client.end(true);
  if (sums.acknowledged === 0) throw new Error(`nothing was acknowledged since ${startMs}`);
  return sums;
}

function dial(url: string, index: number): Promise<MqttClient> {
  const client = connect(url, { clientId: `soak-${index}`, reconnectPeriod: 0 });
  return new Promise((resolve, reject) => {
    client.once('connect', () => resolve(client));
    client.once('error', reject);
  });
}

/** Notes the daemon's resident memory each second, MB. */
function watchMemory(pid: () => number | null): { stop(): number[] } {
  const rssMb: number[] = [];
  const timer = setInterval(() => {
    const id = pid();
    if (id === null) return;
    const status = readFileSync(`/proc/${id}/status`, 'utf8');
    rssMb.push(Number(/VmRSS:\s+(\d+) kB/.exec(status)?.[1] ?? Number.NaN) / 1024);
  }, 1_000);
  return {
    stop: () => {
      clearInterval(timer);
      return rssMb;
    },
  };
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return Number((sorted[Math.floor(sorted.length / 2)] ?? Number.NaN).toFixed(1));
}

async function countKept(
  dataDir: string,
  ids: readonly string[],
): Promise<{ kept: number; doubled: number }> {
  const reader = await openReader({ dataDir });
  let kept = 0;
  let doubled = 0;
  for (const probe of ids) {
    let before = Number.NaN;
    for await (const slice of reader.rawRange({ probe, fromMs: 0, toMs: Date.now() + 600_000 })) {
      for (const { atMs } of slice) {
        kept += 1;
        if (atMs === before) doubled += 1;
        before = atMs;
      }
    }
  }
  await reader.close();
  return { kept, doubled };
}
