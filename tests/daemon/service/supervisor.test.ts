import { spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { openSupervisor, type SupervisorOptions } from '../../../daemon/service/supervisor.ts';
import { lacks, pathOf } from '../../machine/what-this-machine-lacks.ts';
import { until } from '../open-test-house.ts';
import { tempFolder } from '../sqlite/temp-folder.ts';

/** A datagram socket as systemd has it; gives what was said so far. */
async function listenAsSystemd(): Promise<{ socket: string; said: () => string }> {
  const socket = join(tempFolder(), 'notify');
  const child = spawn(pathOf('socat') ?? '', ['-u', `UNIX-RECV:${socket}`, '-'], {
    stdio: ['ignore', 'pipe', 'ignore'],
  });
  let text = '';
  child.stdout.on('data', (chunk) => {
    text += chunk;
  });
  onTestFinished(() => void child.kill());
  await until(
    async () => existsSync(socket),
    (is) => is,
  );
  return { socket, said: () => text };
}

/** A listener of tests does not give back the barrier that systemd does. */
const carrierOptions = ['--no-block'];
const usual = {
  carrierOptions,
  pulse: async () => {},
  onTrouble: (error: Error) => {
    throw error;
  },
};
const count = (text: string, word: string) => text.split(word).length - 1;

describe.skipIf(lacks('socat') || lacks('systemd-analyze'))('what systemd is told', () => {
  it('is that the house is ready, well three times in each span, and ending', async () => {
    const { socket, said } = await listenAsSystemd();
    const supervisor = openSupervisor({ ...usual, socket, watchdogMs: 600 });
    const fromMs = performance.now();
    await supervisor.ready();
    await until(
      async () => count(said(), 'WATCHDOG=1'),
      (beats) => beats >= 4,
    );
    expect(performance.now() - fromMs).toBeGreaterThan(500);
    await supervisor.stopping();
    await until(
      async () => said(),
      (text) => text.includes('STOPPING=1'),
    );
    expect(said()).toMatch(/^READY=1\s*WATCHDOG=1/);
  });

  it('is nothing while the house does not do its work, though the process lives', async () => {
    const { socket, said } = await listenAsSystemd();
    const { promise: stuck, resolve: free } = Promise.withResolvers<void>();
    let asked = 0;
    const pulse = async () => {
      asked += 1;
      if (asked === 2) await stuck;
    };
    const supervisor = openSupervisor({ ...usual, socket, watchdogMs: 90, pulse });
    await supervisor.ready();
    await until(
      async () => asked,
      (times) => times === 2,
    );
    const before = said();
    const quietMs = performance.now();
    await until(
      async () => performance.now() - quietMs,
      (spanMs) => spanMs > 400,
    );
    expect([count(before, 'WATCHDOG=1'), count(said(), 'WATCHDOG=1'), asked]).toEqual([1, 1, 2]);
    free();
    await until(
      async () => count(said(), 'WATCHDOG=1'),
      (beats) => beats >= 2,
    );
    await supervisor.stopping();
  });

  it('is told as a trouble where it cannot be carried', async () => {
    const troubles: string[] = [];
    const options: SupervisorOptions = {
      socket: '/nowhere/notify',
      watchdogMs: null,
      pulse: async () => {},
      onTrouble: ({ message }) => troubles.push(message),
    };
    await openSupervisor(options).ready();
    await openSupervisor({ ...options, program: 'no-such-program' }).ready();
    await openSupervisor({ ...options, socket: null }).ready();
    expect(troubles).toEqual(['systemd-notify READY=1 ended with 1', 'spawn no-such-program ENOENT']);
  });
});
