/**
 * The soak: 2,000 readings a second from 200 probes, four of them in an open chill, for as long as asked.
 * Everything acknowledged is in the history once, and the daemon's memory stays flat after its warm-up.
 */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { connect, type MqttClient } from 'mqtt';
import { loadMessages, loadProbeIds } from '../bench/load-population.ts';
import { freePort } from '../machine/mosquitto.ts';
import { makeDaemonHome } from './daemon-process.ts';
import { keptReadings } from './kept-readings.ts';
import { type MemoryParts, memoryOver } from './memory-parts.ts';

/** The controls must fail: `leaky` keeps some memory each second, `lossy` acknowledges what it does not keep. */
export type SoakVariant = 'usual' | 'leaky' | 'lossy';

export type SoakReport = {
  proof: 'soak';
  minutes: number;
  perSecond: number;
  acknowledged: number;
  kept: number;
  /** Acknowledged and not kept, or kept twice. */
  lost: number;
  doubled: number;
  variant: SoakVariant;
  /** Resident memory of the daemon, MB: the median of the second quarter and of the last. */
  warmMb: number;
  endMb: number;
  /** Where it lies, MB, at the same two times. */
  warmParts: MemoryParts;
  endParts: MemoryParts;
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
  variant?: SoakVariant;
}): Promise<SoakReport> {
  const fromMs = performance.now();
  const { variant = 'usual' } = o;
  const port = await freePort();
  const ids = loadProbeIds(probes);
  const notes = mkdtempSync(join(tmpdir(), 'springhouse-soak-'));
  const memoryFile = join(notes, 'memory.jsonl');
  const home = await makeDaemonHome({
    wires: `broker: { port: ${port} }`,
    probes: ids,
    nodeArgs: [
      ...unitNodeArgs(),
      ...imported('memory-note.ts'),
      ...(variant === 'leaky' ? imported('planted-leak.ts') : []),
    ],
    variables: { SPRINGHOUSE_PROOF_MEMORY: memoryFile },
    ...(variant === 'lossy' ? { main: new URL('./lossy-daemon.ts', import.meta.url) } : {}),
  });
  try {
    const url = await home.start();
    const house = ((await (await fetch(`${url}/api/house`)).json()) as { id: string }).id;
    const startMs = Date.now();
    const count = Math.round(o.minutes * 60 * o.perSecond);
    const intervalMs = Math.round((probes / o.perSecond) * 1000);
    const load = loadMessages({ house, probes, chills, count, startMs, seed: o.seed, intervalMs });
    const sent = await publishPaced(load, `mqtt://127.0.0.1:${port}`, startMs);
    const memory = memoryOver(memoryFile);
    await home.stop();
    const { kept, doubled } = await countKept(home.dataDir, ids);
    return {
      proof: 'soak',
      variant,
      minutes: o.minutes,
      perSecond: o.perSecond,
      acknowledged: sent.acknowledged,
      kept,
      lost: Math.max(0, sent.acknowledged - kept),
      doubled,
      warmMb: memory.warm.rssMb,
      endMb: memory.end.rssMb,
      warmParts: memory.warm,
      endParts: memory.end,
      slowestMs: Math.round(sent.slowestMs),
      spanMs: Math.round(performance.now() - fromMs),
    };
  } finally {
    await home.remove();
    rmSync(notes, { recursive: true });
  }
}

/** The arguments of the engine with which the service runs. */
function unitNodeArgs(): string[] {
  const unit = readFileSync(new URL('../../deploy/systemd/springhouse.service', import.meta.url), 'utf8');
  const words = /^ExecStart=(.*)$/m.exec(unit)?.[1]?.split(' ') ?? [];
  return words.filter((word) => /^--max-/.test(word));
}

function imported(file: string): string[] {
  return ['--import', new URL(file, import.meta.url).href];
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

async function countKept(
  dataDir: string,
  ids: readonly string[],
): Promise<{ kept: number; doubled: number }> {
  let kept = 0;
  let doubled = 0;
  let before = '';
  for await (const { probe, atMs } of keptReadings(dataDir, ids)) {
    const now = `${probe} ${atMs}`;
    kept += 1;
    if (now === before) doubled += 1;
    before = now;
  }
  return { kept, doubled };
}
