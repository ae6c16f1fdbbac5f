/**
 * The full disk: a house on a small file system of its own that is filled to the last byte, and later freed.
 * Nothing acknowledged is lost or doubled, the house says what is wrong, and goes on by itself. Needs root.
 */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, statfsSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { connect } from 'mqtt';
import { senmlOf } from '../../probes/simulated/senml-pack.ts';
import type { SourceSink } from '../../probes/source.ts';
import { openNotifyHouse } from '../daemon/notify/notify-house.ts';
import { until } from '../daemon/open-test-house.ts';
import { keptReadings } from './kept-readings.ts';

export type DiskReport = {
  proof: 'disk';
  variant: 'usual' | 'early';
  acknowledged: number;
  /** Acknowledged while the disk was full; must be none. */
  acknowledgedWhileFull: number;
  lost: number;
  doubled: number;
  /** What the house said of it. */
  said: string;
  spanMs: number;
};

const diskMb = 24;

/**
 * Fills the disk under a running house, holds it full for a while, frees it, and judges; `early` is the control that
 * acknowledges before the commit.
 */
export async function proveDisk(o: { fullMs: number; early?: boolean }): Promise<DiskReport> {
  const fromMs = performance.now();
  const disk = mkdtempSync(join(tmpdir(), 'springhouse-disk-'));
  execFileSync('mount', ['-t', 'tmpfs', '-o', `size=${diskMb}m`, 'tmpfs', disk]);
  try {
    const house = await openNotifyHouse(
      join(disk, 'data'),
      '',
      o.early === true ? { sinkOf: earlySink } : {},
    );
    const probe = numberedProbe(house.brokerUrl as string, house.id);
    const health = async () =>
      (await (await fetch(`${house.url}/health`)).json()) as { ok: boolean; faults: string[] };
    await until(
      async () => probe.acknowledged.size,
      (count) => count > 50,
    );
    fill(disk);
    const full = await until(health, ({ ok }) => !ok);
    const before = probe.acknowledged.size;
    await new Promise((resolve) => setTimeout(resolve, o.fullMs));
    const acknowledgedWhileFull = probe.acknowledged.size - before;
    rmSync(join(disk, 'ballast'));
    await until(health, ({ ok }) => ok);
    await until(
      async () => probe.acknowledged.size,
      (count) => count > before + 50,
    );
    await probe.stop();
    await house.close();
    const { kept, doubled } = await keptOf(join(disk, 'data'));
    return {
      proof: 'disk',
      variant: o.early === true ? 'early' : 'usual',
      acknowledged: probe.acknowledged.size,
      acknowledgedWhileFull,
      lost: [...probe.acknowledged].filter((atMs) => !kept.has(atMs)).length,
      doubled,
      said: full.faults.join(' '),
      spanMs: Math.round(performance.now() - fromMs),
    };
  } finally {
    execFileSync('umount', [disk]);
    rmSync(disk, { recursive: true });
  }
}

const earlySink = (intake: SourceSink): SourceSink => ({
  ...intake,
  take: (offer) => {
    void intake.take(offer).catch(() => {});
    return Promise.resolve();
  },
});

/** Writes until nothing more fits. */
function fill(disk: string): void {
  const { bavail, bsize } = statfsSync(disk);
  writeFileSync(join(disk, 'ballast'), Buffer.alloc(bavail * bsize));
}

/** A probe that sends a reading every few milliseconds, and again what was not acknowledged. */
function numberedProbe(url: string, house: string) {
  const acknowledged = new Set<number>();
  const client = connect(url, { reconnectPeriod: 100, clientId: 'numbered', clean: true });
  let nextMs = Date.now() - 3_600_000;
  const timer = setInterval(() => {
    if (!client.connected) return;
    nextMs += 100;
    const atMs = nextMs;
    const pack = senmlOf([{ probe: 'jar', atMs, tempC: 4 + (atMs % 1_600) / 1_600 }]);
    client.publish(`springhouse/${house}/reading/jar`, pack, { qos: 1 }, (error) => {
      if (!error) acknowledged.add(atMs);
    });
  }, 5);
  return {
    acknowledged,
    stop: async () => {
      clearInterval(timer);
      await new Promise((resolve) => setTimeout(resolve, 300));
      client.end(true);
    },
  };
}

async function keptOf(dataDir: string): Promise<{ kept: Set<number>; doubled: number }> {
  const kept = new Set<number>();
  let count = 0;
  for await (const { atMs } of keptReadings(dataDir, ['jar'])) {
    kept.add(atMs);
    count += 1;
  }
  return { kept, doubled: count - kept.size };
}
