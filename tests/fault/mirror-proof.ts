/**
 * The mirror proof: readings come all the while, some of them late, and the server is stopped and started
 * again under them, and the daemon, too; in the end the server has every kept reading once.
 */
import { connect } from 'mqtt';
import { openRandom } from '../../probes/simulated/random.ts';
import { senmlOf } from '../../probes/simulated/senml-pack.ts';
import type { HouseView } from '../../shared/contract/api.ts';
import { freePort } from '../machine/mosquitto.ts';
import {
  startVictoriaMetrics,
  type VictoriaMetrics,
  type VictoriaSample,
} from '../machine/victoria-metrics.ts';
import { type DaemonHome, makeDaemonHome } from './daemon-process.ts';
import { keptReadings } from './kept-readings.ts';
import { openNumberedPublisher } from './numbered-publisher.ts';

/**
 * `stops`: server and daemon end in order, and the server keeps doubles, so that one would be seen. `kills`:
 * both are killed; the server then loses what it had only in memory and is sent it again, so it is one that
 * keeps a point once.
 */
export type MirrorVariant = 'stops' | 'kills';

export type MirrorReport = {
  proof: 'mirror';
  variant: MirrorVariant;
  seed: number;
  outages: number;
  kept: number;
  late: number;
  /** Kept and not at the server. */
  lost: number;
  /** At the server more than once. */
  doubled: number;
  /** At the server with another value or other tags. */
  wrong: number;
  /** At the server and not kept. */
  strange: number;
  /** The longest lag that the house showed, ms. */
  lagMostMs: number;
  spanMs: number;
};

const probes = ['p0', 'p1', 'p2'];
const token = 'only-for-this-proof';
const lateEach = 500;

/** Runs one variant; `seed` decides how long each outage lasts. */
export async function proveMirror(o: {
  variant: MirrorVariant;
  outages: number;
  seed: number;
  outageMostMs: number;
}): Promise<MirrorReport> {
  const fromMs = performance.now();
  const random = openRandom(o.seed, `mirror ${o.variant}`);
  const isKills = o.variant === 'kills';
  const victoria = await startVictoriaMetrics(isKills ? ['-dedup.minScrapeInterval=1ms'] : []);
  const port = await freePort();
  const home = await makeDaemonHome({ wires: wiresOf(victoria.url, { port, isKills }), probes });
  const startMs = Math.floor(Date.now() / 1000) * 1000 - 30 * 86_400_000;
  process.env.MIRROR_PROOF_TOKEN = token;
  try {
    let address = await home.start();
    const house = (await houseAt(address)).id;
    const publisher = openNumberedPublisher({
      url: `mqtt://127.0.0.1:${port}`,
      house: () => house,
      startMs,
      probes,
    });
    let lagMostMs = 0;
    for (let outage = 0; outage < o.outages; outage++) {
      await pause(300 + random.uniform() * o.outageMostMs);
      await (isKills ? victoria.kill() : victoria.stop());
      await publishLate({ port, house, beforeMs: startMs, outage });
      await pause(o.outageMostMs * (0.5 + random.uniform() / 2));
      lagMostMs = Math.max(lagMostMs, (await houseAt(address)).mirrors[0]?.lagMs ?? 0);
      if (isKills) await home.kill();
      else await home.stop();
      address = await home.start();
      await pause(random.uniform() * o.outageMostMs * 0.3);
      await victoria.start();
    }
    await publisher.drain();
    publisher.close();
    await untilCurrent(address);
    await home.stop();
    const verdict = await judge(home, { victoria, house });
    const { variant, seed, outages } = o;
    const late = o.outages * lateEach;
    return {
      proof: 'mirror',
      variant,
      seed,
      outages,
      late,
      lagMostMs,
      ...verdict,
      spanMs: Math.round(performance.now() - fromMs),
    };
  } finally {
    await home.remove();
    await victoria.remove();
  }
}

function wiresOf(url: string, { port, isKills }: { port: number; isKills: boolean }): string {
  return `broker: { port: ${port} }
mirrors:
  - { id: stats, url: "${url}", tokenEnv: MIRROR_PROOF_TOKEN, every: 1s, resend: ${isKills ? '30s' : '0s'} }`;
}

async function houseAt(address: string): Promise<HouseView> {
  return (await (await fetch(`${address}/api/house`)).json()) as HouseView;
}

/** Readings from before all others: late ones by the time they come. */
async function publishLate(o: {
  port: number;
  house: string;
  beforeMs: number;
  outage: number;
}): Promise<void> {
  const client = connect(`mqtt://127.0.0.1:${o.port}`, { reconnectPeriod: 20 });
  const firstMs = o.beforeMs - (o.outage + 1) * lateEach * 1_000;
  for (let index = 0; index < lateEach; index += 50) {
    const pack = Array.from({ length: 50 }, (_, at) => ({
      probe: 'p1',
      atMs: firstMs + (index + at) * 1_000,
      tempC: ((index + at) % 160) / 16,
    }));
    await client.publishAsync(`springhouse/${o.house}/reading/p1`, senmlOf(pack), { qos: 1 });
  }
  await client.endAsync();
}

async function untilCurrent(address: string): Promise<void> {
  const deadlineMs = performance.now() + 120_000;
  for (;;) {
    const mirror = (await houseAt(address)).mirrors[0];
    if (mirror?.state === 'current' && mirror.waiting === 0) return;
    if (performance.now() > deadlineMs)
      throw new Error(`the mirror must catch up, got ${JSON.stringify(mirror)}`);
    await pause(100);
  }
}

async function judge({ dataDir }: DaemonHome, o: { victoria: VictoriaMetrics; house: string }) {
  const samples = await o.victoria.samples();
  const counts = new Map<string, number>();
  for (const sample of samples) counts.set(keyOf(sample), (counts.get(keyOf(sample)) ?? 0) + 1);
  const kept = new Set<string>();
  for await (const { probe, atMs, tempC } of keptReadings(dataDir, probes)) {
    kept.add(`${probe} ${atMs} ${tempC}`);
  }
  const wrong = samples.filter(
    ({ metric }) =>
      metric.__name__ !== 'temperature_celsius' || metric.house !== o.house || 'place' in metric,
  ).length;
  return {
    kept: kept.size,
    lost: [...kept].filter((key) => !counts.has(key)).length,
    doubled: [...counts.values()].filter((count) => count > 1).length,
    wrong,
    strange: [...counts.keys()].filter((key) => !kept.has(key)).length,
  };
}

function keyOf({ metric, atMs, value }: VictoriaSample): string {
  return `${metric.probe} ${atMs} ${value}`;
}

function pause(spanMs: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, spanMs));
}
