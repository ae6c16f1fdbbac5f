/** A backup put back in place of a house's files, which are kept aside. Wiring. */
import { existsSync, mkdirSync, readFileSync, renameSync, rmSync, statSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import type { FileName } from './backup.ts';
import { type BackupNote, backupNoteName, parseBackupNote } from './backup-note.ts';
import type { BackupCalls } from './backup-worker.ts';
import { dataPaths, openDataFolder } from './data-folder.ts';
import { syncFile } from './sqlite/copy-database.ts';
import { openThread, workerUrl } from './sqlite/thread.ts';

export type RestoreOptions = {
  /** The folder of one backup. */
  from: string;
  dataDir: string;
  /** Which files of it; all of them unless given. */
  files: readonly FileName[] | null;
  nowMs: number;
  onProgress: (doing: string) => void;
};

export type Restored = { note: BackupNote; files: FileName[]; aside: string | null };

/**
 * Checks a backup against its note, then takes the data folder, puts what was there aside and the backup in
 * its place. Rejects where the house runs (`DATA_BUSY`) or the backup is not as it was made
 * (`BACKUP_DAMAGED`); then nothing was changed.
 */
export async function restoreBackup(options: RestoreOptions): Promise<Restored> {
  const { from, dataDir, nowMs, onProgress } = options;
  const note = readNote(from);
  const files = note.files.filter(({ name }) => options.files === null || options.files.includes(name));
  if (files.length === 0) {
    throw new Error(
      `BACKUP_DAMAGED: ${from} must hold ${options.files?.join(' or ')}, got ${note.files.map(({ name }) => name).join(', ')}. Give another backup.`,
    );
  }
  const folder = openDataFolder(dataDir);
  const thread = openThread<BackupCalls>(workerUrl('./backup-worker', import.meta.url));
  const incoming = files.map(({ name }) => ({ name, part: join(dataDir, `${name}.restoring`) }));
  try {
    for (const [index, file] of files.entries()) {
      const to = incoming[index]?.part ?? '';
      onProgress(`copying ${file.name}`);
      if (statSync(join(from, file.name), { throwIfNoEntry: false })?.size !== file.bytes)
        throw damaged(from, file.name);
      await thread.call('copyFile', { from: join(from, file.name), to });
      onProgress(`checking ${file.name}`);
      if ((await thread.call('digest', to)) !== file.sha256) throw damaged(from, file.name);
      await thread.call('check', to);
    }
    const aside = putAside(
      dataDir,
      files.map(({ name }) => name),
      nowMs,
    );
    for (const { name, part } of incoming) renameSync(part, join(dataDir, name));
    syncFile(dataDir);
    return { note, files: files.map(({ name }) => name), aside };
  } finally {
    await thread.close();
    for (const { part } of incoming) rmSync(part, { force: true });
    folder.close();
  }
}

function readNote(from: string): BackupNote {
  const path = join(from, backupNoteName);
  let text: string;
  try {
    text = readFileSync(path, 'utf8');
  } catch (error) {
    throw new Error(
      `BACKUP_DAMAGED: ${from} must be the folder of a backup with ${backupNoteName} in it, got ${(error as Error).message}. Give its path.`,
    );
  }
  const note = parseBackupNote(text);
  if (typeof note !== 'string') return note;
  throw new Error(`BACKUP_DAMAGED: ${path} must be ${note}, got something else. Give another backup.`);
}

/** Moves files with what belongs to them into a folder of their own; null where none of them was there. */
function putAside(dataDir: string, names: readonly FileName[], nowMs: number): string | null {
  const paths = dataPaths(dataDir);
  const all = names.flatMap((name) => {
    const path = name === 'house.db' ? paths.house : paths.history;
    return ['', '-wal', '-shm'].map((end) => `${path}${end}`).filter((each) => existsSync(each));
  });
  const [first] = all;
  if (first === undefined) return null;
  const aside = join(
    dirname(first),
    `before-restore-${new Date(nowMs).toISOString().replace(/[-:]|\.\d+/g, '')}`,
  );
  mkdirSync(aside);
  for (const path of all) renameSync(path, join(aside, basename(path)));
  return aside;
}

function damaged(from: string, name: string): Error {
  return new Error(
    `BACKUP_DAMAGED: ${name} in ${from} must be as it was made, got other bytes. Give another backup; nothing was changed.`,
  );
}
