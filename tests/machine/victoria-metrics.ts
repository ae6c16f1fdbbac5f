import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { freePort } from './mosquitto.ts';
import { pathOf } from './what-this-machine-lacks.ts';

/** A real time-series server; needs `describe.skipIf(lacks('victoria-metrics'))` around its users. */
export type VictoriaMetrics = {
  url: string;
  /** The folder of what it keeps. */
  dir: string;
  /** Starts it on the same port and folder; resolves when it answers. */
  start(): Promise<void>;
  /** Asks it to end, which writes what it holds, and waits for that. */
  stop(): Promise<void>;
  /** Ends it at once, as a power cut would. */
  kill(): Promise<void>;
  /** Every sample that it has, flushed first, as it would answer anybody. */
  samples(): Promise<VictoriaSample[]>;
  /** Ends it and removes its folder. */
  remove(): Promise<void>;
};

export type VictoriaSample = { metric: Record<string, string>; atMs: number; value: number };

/** Starts one on a free port of the loopback that forgets nothing; `flags` are added. */
export async function startVictoriaMetrics(flags: readonly string[] = []): Promise<VictoriaMetrics> {
  const port = await freePort();
  const dir = await mkdtemp(join(tmpdir(), 'victoria-metrics-'));
  const url = `http://127.0.0.1:${port}`;
  let child: ChildProcess | null = null;

  async function start(): Promise<void> {
    child = spawn(
      pathOf('victoria-metrics') ?? 'victoria-metrics',
      [
        `-storageDataPath=${dir}`,
        `-httpListenAddr=127.0.0.1:${port}`,
        '-retentionPeriod=100y',
        '-memory.allowedBytes=200MB',
        ...flags,
      ],
      { stdio: 'ignore' },
    );
    await untilAnswering(url);
  }
  const end = (signal: NodeJS.Signals) => async (): Promise<void> => {
    const dying = child;
    child = null;
    if (dying === null || dying.exitCode !== null) return;
    await new Promise((resolve) => {
      dying.once('exit', resolve);
      dying.kill(signal);
    });
  };
  const kill = end('SIGKILL');
  await start();
  return {
    url,
    dir,
    start,
    kill,
    stop: end('SIGTERM'),
    samples: () => samplesAt(url),
    async remove() {
      await kill();
      await rm(dir, { recursive: true, force: true });
    },
  };
}

async function samplesAt(url: string): Promise<VictoriaSample[]> {
  await fetch(`${url}/internal/force_flush`);
  const query = new URLSearchParams({ 'match[]': '{__name__!=""}', start: '0' });
  const text = await (await fetch(`${url}/api/v1/export`, { method: 'POST', body: query })).text();
  return text
    .split('\n')
    .filter((line) => line !== '')
    .flatMap((line) => {
      const { metric, values, timestamps } = JSON.parse(line) as {
        metric: Record<string, string>;
        values: number[];
        timestamps: number[];
      };
      return timestamps.map((atMs, index) => ({ metric, atMs, value: values[index] as number }));
    });
}

async function untilAnswering(url: string): Promise<void> {
  const deadlineMs = performance.now() + 15_000;
  while (performance.now() < deadlineMs) {
    const isUp = await fetch(`${url}/health`).then(
      ({ ok }) => ok,
      () => false,
    );
    if (isUp) return;
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  throw new Error(`victoria-metrics must answer at ${url} within 15 s`);
}
