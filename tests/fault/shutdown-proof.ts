/** The shutdown proof: asked to end under load, the daemon ends in time and keeps what it acknowledged. */
import { spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { freePort } from '../machine/mosquitto.ts';
import { makeDaemonHome } from './daemon-process.ts';
import { keptReadings } from './kept-readings.ts';
import { numbered, openNumberedPublisher } from './numbered-publisher.ts';

export type ShutdownReport = {
  proof: 'shutdown';
  code: number | null;
  endedInMs: number;
  acknowledged: number;
  lost: number;
  /** What a second start on the same folder said while the first ran, and its exit code. */
  second: { code: number | null; said: string };
};

const probes = ['p0', 'p1'];

export async function proveShutdown(): Promise<ShutdownReport> {
  const port = await freePort();
  const startMs = Math.floor(Date.now() / 1000) * 1000 - 86_400_000;
  const home = await makeDaemonHome({ wires: `broker: { port: ${port} }`, probes });
  try {
    const address = await home.start();
    const { id: house } = (await (await fetch(`${address}/api/house`)).json()) as { id: string };
    const feed = await fetch(`${address}/api/live`);
    const publisher = openNumberedPublisher({
      url: `mqtt://127.0.0.1:${port}`,
      house: () => house,
      startMs,
      probes,
    });
    while (publisher.acknowledged().size < 500) await new Promise((resolve) => setTimeout(resolve, 10));
    const second = await secondStart(home.houseFile, home.dataDir);
    const { code, spanMs } = await home.stop();
    publisher.close();
    await feed.body?.cancel().catch(() => {});
    const lost = await lostOf(home.dataDir, { acknowledged: publisher.acknowledged(), startMs });
    return {
      proof: 'shutdown',
      code,
      endedInMs: Math.round(spanMs),
      acknowledged: publisher.acknowledged().size,
      lost,
      second,
    };
  } finally {
    await home.remove();
  }
}

function secondStart(houseFile: string, dataDir: string): Promise<ShutdownReport['second']> {
  const main = fileURLToPath(new URL('../../daemon/main.ts', import.meta.url));
  const child = spawn(process.execPath, [main, 'run', '--house', houseFile, '--data', dataDir], {
    stdio: ['ignore', 'ignore', 'pipe'],
  });
  return new Promise((resolve) => {
    let said = '';
    child.stderr.on('data', (chunk) => {
      said += chunk;
    });
    child.once('close', (code) => resolve({ code, said: said.trim() }));
  });
}

async function lostOf(
  dataDir: string,
  o: { acknowledged: ReadonlySet<number>; startMs: number },
): Promise<number> {
  const kept = new Set<string>();
  for await (const { probe, atMs } of keptReadings(dataDir, probes)) kept.add(`${probe} ${atMs}`);
  return [...o.acknowledged].filter((number) => {
    const { probe, atMs } = numbered(number, o.startMs, probes);
    return !kept.has(`${probe} ${atMs}`);
  }).length;
}
