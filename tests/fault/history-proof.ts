/**
 * The history's proof: its program is killed at random moments; its log of writes (the WAL file) is cut at every
 * frame, cut and flipped at random; bytes of its blocks are flipped. Each time the file opens, and holds every
 * reading that was acknowledged.
 *
 * What can be promised: after a kill, all that was acknowledged. Where the WAL file itself is cut or flipped, every
 * commit that ends before that place, and of later ones none in part: SQLite's sums run from frame to frame
 * (sqlite.org/fileformat2.html#walformat). Where a block is flipped, all but that block, which is named.
 */
import { spawn } from 'node:child_process';
import { copyFileSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { openHistory } from '../../daemon/history/history.ts';
import { openDatabase } from '../../daemon/sqlite/database.ts';
import { openRandom, type Random } from '../../probes/simulated/random.ts';
import { checkedFile, heldIn, judgeFile, numberedItem, perCommit } from './history-numbers.ts';

export type HistoryVariant = 'kills' | 'every-frame' | 'wal-cut' | 'wal-flip' | 'block-flip';

export type HistoryProofReport = {
  proof: 'history';
  variant: HistoryVariant;
  planted: boolean;
  seed: number;
  /** Kills, cuts or flips. */
  times: number;
  /** Readings acknowledged, over all times. */
  acknowledged: number;
  lost: number;
  doubled: number;
  wrong: number;
  /** Times that the check found damage where there was none, or did not name the block where there was. */
  misjudged: number;
  spanMs: number;
};

type Tally = Pick<HistoryProofReport, 'times' | 'acknowledged' | 'lost' | 'doubled' | 'wrong' | 'misjudged'>;

const committer = fileURLToPath(new URL('./history-committer.ts', import.meta.url));
const walHeaderBytes = 32;
const walFrameBytes = 4096 + 24;
/** A file is begun anew after so many kills, so that judging stays short. */
const killsPerFile = 20;
/** How often a place is looked for; then the proof itself is wrong and throws. */
const placeTriesMax = 1_000;
/** Commits in the WAL file that is cut and flipped: below a checkpoint of the daemon's own. */
const walCommits = 120;

/** Runs one variant; with `planted` it acknowledges too early, or looks past the blocks, and must be found out. */
export async function proveHistory(o: {
  variant: HistoryVariant;
  times: number;
  seed: number;
  planted?: boolean;
}): Promise<HistoryProofReport> {
  const { variant, times, seed, planted = false } = o;
  const fromMs = performance.now();
  const random = openRandom(seed, variant);
  const folder = mkdtempSync(join(tmpdir(), 'springhouse-history-'));
  const tally: Tally = { times: 0, acknowledged: 0, lost: 0, doubled: 0, wrong: 0, misjudged: 0 };
  try {
    const trial = { folder, times, random, planted, tally };
    if (variant === 'kills') await proveKills(trial);
    else if (variant === 'block-flip') proveFlips(trial);
    else proveWal(trial, variant);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
  return {
    proof: 'history',
    variant,
    planted,
    seed,
    ...tally,
    spanMs: Math.round(performance.now() - fromMs),
  };
}

type Trial = { folder: string; times: number; random: Random; planted: boolean; tally: Tally };

async function proveKills({ folder, times, random, planted, tally }: Trial): Promise<void> {
  let path = '';
  let acknowledged = 0;
  for (let kill = 0; kill < times; kill++) {
    if (kill % killsPerFile === 0) {
      path = join(folder, `kills-${kill}.db`);
      acknowledged = 0;
    }
    acknowledged = await killedLife({ path, from: acknowledged, lifeMs: random.uniform() * 150, planted });
    judge(tally, path, acknowledged);
    // What was lost once is not lost again at the next kill.
    if (planted) acknowledged = Math.max(0, acknowledged - perCommit);
  }
}

/** Lets the program live for a while after it has opened the file; returns the number after the last acknowledged. */
function killedLife(o: { path: string; from: number; lifeMs: number; planted: boolean }): Promise<number> {
  const args = [committer, o.path, String(o.from), ...(o.planted ? ['early'] : [])];
  const child = spawn(process.execPath, args, { stdio: ['ignore', 'pipe', 'inherit'] });
  let said = '';
  child.stdout.on('data', (bytes: Buffer) => {
    if (said === '') setTimeout(() => child.kill('SIGKILL'), o.lifeMs);
    said += bytes.toString();
  });
  return new Promise((resolve, reject) => {
    child.on('error', reject);
    child.on('close', () => {
      const lines = said.slice(0, said.lastIndexOf('\n')).split('\n');
      const last = lines.at(-1) ?? '';
      if (lines[0] !== 'open') reject(new Error(`the program must open ${o.path}, got ${said}`));
      else resolve(last === 'open' ? o.from : Number(last));
    });
  });
}

function judge(tally: Tally, path: string, acknowledged: number): void {
  const { lost, doubled, wrong, damage } = judgeFile(path, acknowledged);
  tally.times += 1;
  tally.acknowledged += acknowledged;
  tally.lost += lost;
  tally.doubled += doubled;
  tally.wrong += wrong;
  if (damage.length > 0) tally.misjudged += 1;
}

/** Where the WAL file ended after each commit, and how many readings were acknowledged by then. */
type Written = {
  path: string;
  base: number;
  ends: { bytes: number; acknowledged: number }[];
  close: () => void;
};

/** Writes commits and seals with a checkpoint in the midst, so that a file and a WAL file stand behind it. */
function written(folder: string): Written {
  const path = join(folder, 'written.db');
  const database = openDatabase({ path, mode: 'write' });
  const history = openHistory(database);
  let number = 0;
  const commit = () => {
    const items = Array.from({ length: perCommit }, (_, index) => numberedItem(number + index));
    history.commitReadings(items, number + 1);
    number += perCommit;
  };
  for (let count = 0; count < walCommits; count++) commit();
  history.sealAll();
  database.exec('PRAGMA wal_checkpoint(TRUNCATE)');
  const base = number;
  const ends: Written['ends'] = [];
  for (let count = 0; count < walCommits; count++) {
    commit();
    ends.push({ bytes: statSync(`${path}-wal`).size, acknowledged: number });
    if (count % 30 === 29) history.sealAll();
    history.tend();
  }
  return { path, base, ends, close: database.close };
}

function proveWal({ folder, times, random, planted, tally }: Trial, variant: HistoryVariant): void {
  const { path, base, ends, close } = written(folder);
  const wal = readFileSync(`${path}-wal`);
  const frames = Math.floor((wal.length - walHeaderBytes) / walFrameBytes);
  const many = variant === 'every-frame' ? Math.min(times, frames) : times;
  for (let time = 0; time < many; time++) {
    const at =
      variant === 'every-frame'
        ? walHeaderBytes + Math.floor((time * frames) / many) * walFrameBytes
        : Math.floor(random.uniform() * wal.length);
    const copy = join(folder, `wal-${time}.db`);
    copyFileSync(path, copy);
    const bytes = Buffer.from(wal);
    if (variant === 'wal-flip') bytes[at] = (bytes[at] as number) ^ (1 << Math.floor(random.uniform() * 8));
    writeFileSync(`${copy}-wal`, variant === 'wal-flip' ? bytes : bytes.subarray(0, at));
    const before = ends.findLastIndex((end) => end.bytes <= at);
    const place = planted ? Math.min(ends.length - 1, before + 1) : before;
    judge(tally, copy, ends[place]?.acknowledged ?? base);
    for (const each of [copy, `${copy}-wal`, `${copy}-shm`]) rmSync(each, { force: true });
  }
  close();
}

type Sealed = { block: number; count: number; readings: Uint8Array; minutes: Uint8Array };

/** Flips bytes of blocks in the file itself: that block is named and alone is missing. */
function proveFlips({ folder, times, random, planted, tally }: Trial): void {
  const { path, close } = written(folder);
  close();
  // Removed blocks leave their bytes in free pages, where a flip does no harm.
  const emptied = openDatabase({ path, mode: 'write' });
  emptied.exec('VACUUM');
  emptied.close();
  const file = readFileSync(path);
  const whole = heldIn(path);
  const database = openDatabase({ path, mode: 'read' });
  const blocks = database.prepare<Sealed>('SELECT block, count, readings, minutes FROM blocks').all();
  database.close();
  for (let time = 0; time < times; time++) {
    const sealed = blocks[Math.floor(random.uniform() * blocks.length)] as Sealed;
    const at = placeInFile(file, random.uniform() < 0.8 ? sealed.readings : sealed.minutes, random);
    const bytes = Buffer.from(file);
    bytes[at] = (bytes[at] as number) ^ (1 << Math.floor(random.uniform() * 8));
    const copy = join(folder, `flip-${time}.db`);
    writeFileSync(copy, bytes);
    const { damage } = checkedFile(copy, planted ? 'rollups' : 'pages');
    const held = heldIn(copy);
    const isNamed = damage.length === 1 && damage[0]?.part === 'block' && damage[0].id === sealed.block;
    const isAlone = held.kept === whole.kept - sealed.count;
    tally.times += 1;
    tally.acknowledged += whole.kept - sealed.count;
    tally.lost += Math.max(0, whole.kept - sealed.count - held.kept);
    for (const [key, tempC] of held.byKey) if (whole.byKey.get(key) !== tempC) tally.wrong += 1;
    if (!isNamed || !isAlone) tally.misjudged += 1;
    for (const each of [copy, `${copy}-wal`, `${copy}-shm`]) rmSync(each, { force: true });
  }
}

/** Finds where a random byte of a blob lies in the file, by the bytes around it; what lies there twice is not taken. */
function placeInFile(file: Buffer, blob: Uint8Array, random: Random): number {
  const around = 24;
  for (let tries = 0; tries < placeTriesMax; tries++) {
    const from = Math.floor(random.uniform() * (blob.length - around));
    const window = blob.subarray(from, from + around);
    const found = file.indexOf(window);
    if (found >= 0 && file.indexOf(window, found + 1) < 0)
      return found + Math.floor(random.uniform() * around);
  }
  throw new Error(`a byte of the blob must lie in the file once, got none in ${placeTriesMax} tries`);
}
