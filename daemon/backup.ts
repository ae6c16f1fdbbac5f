/** A copy of a house's files, taken while it runs, read back and noted. Wiring. */
import { existsSync, mkdirSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { type BackupFile, type BackupNote, backupNoteName } from './backup-note.ts';
import type { BackupCalls } from './backup-worker.ts';
import { dataPaths } from './data-folder.ts';
import { openReader } from './reader.ts';
import { syncFile } from './sqlite/copy-database.ts';
import { DiskFault } from './sqlite/disk-fault.ts';
import { openThread, type Thread, workerUrl } from './sqlite/thread.ts';

export type FileName = BackupFile['name'];

export type BackupOptions = {
  dataDir: string;
  /** The folder in which the backup gets a folder of its own; made where it is missing. */
  into: string;
  /** Which files; one that is not there is left out, and at least one must be. */
  files: readonly FileName[];
  release: string;
  nowMs: number;
  onProgress: (doing: string, bytes: number, wholeBytes: number) => void;
};

export type MadeBackup = { path: string; note: BackupNote; leftOut: FileName[] };

/** How often the growing copy is looked at. */
const lookMs = 150;

/**
 * Copies the files, checks each page of every copy and the record's chain, and only then gives the folder
 * its name. The record is copied first: its watches then stand at or before the last reading of the history,
 * as after a power cut, and go on from there when the backup is put back. Rejects with nothing left behind.
 */
export async function makeBackup(options: BackupOptions): Promise<MadeBackup> {
  const { dataDir, into, nowMs, release } = options;
  const sources = { 'house.db': dataPaths(dataDir).house, 'history.db': dataPaths(dataDir).history };
  const wanted = (['house.db', 'history.db'] as const).filter((name) => options.files.includes(name));
  const there = wanted.filter((name) => existsSync(sources[name]));
  if (there.length === 0) {
    throw new Error(
      `DATA_MISSING: ${dataDir} must hold ${wanted.join(' or ')}, got neither. Give the data folder of a house that has run.`,
    );
  }
  const path = join(into, `springhouse-${stampOf(nowMs)}`);
  const part = `${path}.part`;
  mkdirSync(into, { recursive: true });
  // What a house knows of its people is in it.
  mkdirSync(part, { mode: 0o700 });
  const thread = openThread<BackupCalls>(workerUrl('./backup-worker', import.meta.url));
  try {
    const files: BackupFile[] = [];
    for (const name of there) files.push(await copied(thread, { name, from: sources[name], part }, options));
    const record = there.includes('house.db') ? await recordIn(part) : { house: null, recordSeq: null };
    const note: BackupNote = { v: 1, madeAtMs: nowMs, release, ...record, files };
    writeFileSync(join(part, backupNoteName), `${JSON.stringify(note, null, 2)}\n`);
    syncFile(join(part, backupNoteName));
    syncFile(part);
    renameSync(part, path);
    syncFile(into);
    return { path, note, leftOut: wanted.filter((name) => !there.includes(name)) };
  } catch (error) {
    rmSync(part, { recursive: true, force: true });
    throw error;
  } finally {
    await thread.close();
  }
}

async function copied(
  thread: Thread<BackupCalls>,
  { name, from, part }: { name: FileName; from: string; part: string },
  { onProgress }: BackupOptions,
): Promise<BackupFile> {
  const to = join(part, name);
  const whole = statSync(from).size;
  const timer = setInterval(() => {
    onProgress(`copying ${name}`, statSync(to, { throwIfNoEntry: false })?.size ?? 0, whole);
  }, lookMs);
  try {
    await thread.call('copyDatabase', { from, to });
  } finally {
    clearInterval(timer);
  }
  const { size: bytes } = statSync(to);
  onProgress(`checking ${name}`, bytes, bytes);
  const { version } = await thread.call('check', to);
  return { name, bytes, version, sha256: await thread.call('digest', to) };
}

/**
 * Whose record a copy is and how far it goes; rejects where its chain is broken. The record of an earlier
 * release cannot be read by this one before it is brought up: its pages were checked, its chain is not.
 */
async function recordIn(dataDir: string): Promise<Pick<BackupNote, 'house' | 'recordSeq'>> {
  const reader = await openReader({ dataDir });
  try {
    const notes = await reader.meta().catch((error: Error) => error);
    if (notes instanceof DiskFault && notes.code === 'DATA_OLDER') return { house: null, recordSeq: null };
    if (notes instanceof Error) throw notes;
    const { faults, events } = await reader.verify();
    const [broken] = faults;
    if (broken !== undefined) {
      throw new Error(
        `RECORD_BROKEN: event ${broken.recordSeq} must be as it was kept, got a ${broken.kind} that is not. Ask springhouse record verify; nothing was backed up.`,
      );
    }
    return { house: notes.houseId ?? null, recordSeq: events };
  } finally {
    await reader.close();
  }
}

/** `20261125T134500Z`: sorts by time, and stands in a file's name anywhere. */
function stampOf(atMs: number): string {
  return new Date(atMs).toISOString().replace(/[-:]|\.\d+/g, '');
}
