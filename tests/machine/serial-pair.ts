import { type ChildProcessByStdio, spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Writable } from 'node:stream';
import { pathOf } from './what-this-machine-lacks.ts';

/**
 * A serial line: a real pseudo-terminal for the house, whose far end is the test, joined by socat. Needs
 * `describe.skipIf(lacks('socat'))` around its users.
 */
export type SerialPair = {
  /** The device that the house listens to. */
  path: string;
  /** Writes at the far end, in the order of the calls; resolves once socat has the bytes. */
  write(bytes: string | Uint8Array): Promise<void>;
  /** Unplugs the line: the device vanishes. */
  unplug(): Promise<void>;
  /** Plugs it in again under the same path. */
  plug(): Promise<void>;
  /** Unplugs and removes what is left. */
  stop(): Promise<void>;
};

/** Starts a pair, plugged in. */
export async function startSerialPair(): Promise<SerialPair> {
  const dir = await mkdtemp(join(tmpdir(), 'serial-'));
  const path = join(dir, 'near');
  let socat: ChildProcessByStdio<Writable, null, null> | null = null;

  async function plug(): Promise<void> {
    socat = spawn(pathOf('socat') ?? 'socat', ['STDIO', `pty,raw,echo=0,link=${path}`], {
      stdio: ['pipe', 'ignore', 'ignore'],
    });
    // A line that is unplugged while bytes are on their way is what some tests want.
    socat.stdin.on('error', () => {});
    const deadlineMs = performance.now() + 5000;
    while (!existsSync(path)) {
      if (performance.now() > deadlineMs) throw new Error('socat must make its pseudo-terminal within 5 s');
      await new Promise((resolve) => setTimeout(resolve, 5));
    }
  }

  async function unplug(): Promise<void> {
    const gone = socat;
    socat = null;
    if (gone === null) return;
    await new Promise((resolve) => {
      gone.once('exit', resolve);
      // Not SIGKILL: socat removes its link on the way out.
      gone.kill('SIGTERM');
    });
  }

  await plug();
  return {
    path,
    write: (bytes) => new Promise((resolve) => socat?.stdin.write(bytes, () => resolve())),
    unplug,
    plug,
    async stop() {
      await unplug();
      await rm(dir, { recursive: true, force: true });
    },
  };
}
