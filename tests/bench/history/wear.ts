/** What a day of a small house costs the disk: each size in a process of its own, whose syncs strace counts. */
import { execFile } from 'node:child_process';
import { existsSync } from 'node:fs';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { type Bench, rounded } from '../figure.ts';
import type { WearDay } from './wear-day.ts';

const run = promisify(execFile);
const daySeconds = 86_400;
/** The small size plays the beginning of the day's chill, so it cannot be held to the aims of a day. */
const secondsOf = { small: 2_400, full: daySeconds } as const;
const dayAt = fileURLToPath(new URL('./wear-day.ts', import.meta.url));
/** Debian's package of the same name; without it syncs are not counted. */
const strace = '/usr/bin/strace';

/** The most that a day of eight serial probes may cost. */
const aims = { writtenMb: 100, syncs: 20_000 } as const;

type Wear = WearDay & { syncs: number | null };

/** `wear`: MB and syncs a day of eight serial probes; those of probes that wait for answers are told beside. */
export const historyWearBench: Bench = async (size, tell, seed) => {
  const seconds = secondsOf[size];
  const serial = await playDay('serial', { seed, seconds });
  const qos1 = await playDay('qos1', { seed, seconds });
  const isDay = seconds === daySeconds;
  const figure = (name: string, value: number, { unit, aim }: { unit: string; aim: number | null }) => {
    const isAimed = isDay && aim !== null;
    tell({
      bench: 'history',
      figure: name,
      value: rounded(value),
      unit: `${unit} in ${isDay ? 'a day' : `${seconds / 60} min`}`,
      versus: isAimed ? `aim of at most ${aim}: ${value <= aim ? 'met' : 'missed'}` : null,
      ratio: isAimed ? rounded(value / aim) : null,
    });
  };
  figure('wear', serial.writtenMb, { unit: 'MB', aim: aims.writtenMb });
  if (serial.syncs !== null) figure('wear-syncs', serial.syncs, { unit: 'syncs', aim: aims.syncs });
  figure('wear-qos1', qos1.writtenMb, { unit: 'MB', aim: null });
  if (qos1.syncs !== null) figure('wear-qos1-syncs', qos1.syncs, { unit: 'syncs', aim: null });
  if (serial.syncs === null)
    process.stderr.write('leaving out the syncs of wear: strace is not on this machine\n');
  return `wear of ${serial.readings} readings, ${serial.keeps} keeps, ${serial.chills} chill: ${serial.commits} commits, ${qos1.commits} with answers`;
};

async function playDay(wire: 'serial' | 'qos1', o: { seed: number; seconds: number }): Promise<Wear> {
  const dir = await mkdtemp(join(tmpdir(), 'springhouse-wear-'));
  try {
    const play = [process.execPath, dayAt, dir, String(o.seed), String(o.seconds), wire];
    const counted = join(dir, 'syncs');
    const isCounted = existsSync(strace);
    const trace = isCounted ? [strace, '-f', '-c', '-e', 'trace=fsync,fdatasync', '-o', counted] : [];
    const [command = '', ...rest] = [...trace, ...play];
    const { stdout } = await run(command, rest);
    const day = JSON.parse(stdout) as WearDay;
    return { ...day, syncs: isCounted ? syncsIn(await readFile(counted, 'utf8')) : null };
  } finally {
    await rm(dir, { recursive: true, force: true });
  }
}

/** The calls in the last line of strace's count: percent, seconds, µs a call, calls. */
function syncsIn(table: string): number {
  const found = /^\s*100\.00\s+\S+\s+\S+\s+(\d+)/m.exec(table.split('\n').slice(-3).join('\n'));
  if (found === null) throw new Error(`strace must count the syncs, got ${table}`);
  return Number(found[1]);
}
