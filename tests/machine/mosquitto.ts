import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { connect, createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathOf } from './what-this-machine-lacks.ts';

/** A real broker for one test file; needs `describe.skipIf(lacks('mosquitto'))` around its users. */
export type Mosquitto = {
  url: string;
  port: number;
  /** Kills it at once, as a power cut would; `start` brings it back on the same port and folder. */
  kill(): Promise<void>;
  start(): Promise<void>;
  /** Ends it and removes its folder. */
  stop(): Promise<void>;
};

/** Starts mosquitto on a free port of the loopback; `lines` are added to its configuration. */
export async function startMosquitto(lines: readonly string[] = []): Promise<Mosquitto> {
  const port = await freePort();
  const dir = await mkdtemp(join(tmpdir(), 'mosquitto-'));
  const config = join(dir, 'mosquitto.conf');
  const usual = [`listener ${port} 127.0.0.1`, 'allow_anonymous true', 'user root', 'max_queued_messages 0'];
  await writeFile(config, `${[...usual, ...lines].join('\n')}\n`);
  let child: ChildProcess | null = null;

  async function start(): Promise<void> {
    child = spawn(pathOf('mosquitto') ?? 'mosquitto', ['-c', config], { cwd: dir, stdio: 'ignore' });
    await untilListening(port, child);
  }
  async function kill(): Promise<void> {
    const dying = child;
    child = null;
    if (dying === null || dying.exitCode !== null) return;
    await new Promise((resolve) => {
      dying.once('exit', resolve);
      dying.kill('SIGKILL');
    });
  }
  await start();
  return {
    url: `mqtt://127.0.0.1:${port}`,
    port,
    start,
    kill,
    async stop() {
      await kill();
      await rm(dir, { recursive: true, force: true });
    },
  };
}

/** Returns a port of the loopback that nobody listens on at this moment. */
export async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const address = server.address();
  await new Promise((resolve) => server.close(resolve));
  if (address === null || typeof address === 'string') throw new Error('a TCP server must have a port');
  return address.port;
}

async function untilListening(port: number, child: ChildProcess): Promise<void> {
  const deadlineMs = performance.now() + 10_000;
  while (performance.now() < deadlineMs) {
    if (child.exitCode !== null) throw new Error(`mosquitto must stay up, got exit code ${child.exitCode}`);
    const isUp = await new Promise<boolean>((resolve) => {
      const socket = connect(port, '127.0.0.1');
      socket.once('connect', () => resolve(true)).once('error', () => resolve(false));
      socket.once('connect', () => socket.destroy());
    });
    if (isUp) return;
    await new Promise((resolve) => setTimeout(resolve, 10));
  }
  throw new Error(`mosquitto must listen on port ${port} within 10 s`);
}
