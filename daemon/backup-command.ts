/** `springhouse backup`, `springhouse history backup` and `springhouse restore`. Wiring. */
import { type FileName, makeBackup } from './backup.ts';
import type { Values } from './cli/parse-command.ts';
import { openProgress } from './cli/progress.ts';
import { faults, text } from './commands.ts';
import { readEnvironment } from './config/environment.ts';
import { release } from './release.ts';
import { restoreBackup } from './restore.ts';

/** Backs up files of a data folder, also while the house runs; 0 when the copies were read back and are sound. */
export async function runBackup(into: string, files: readonly FileName[], values: Values): Promise<number> {
  const progress = openProgress();
  const dataDir = dataDirOf(values);
  try {
    const { path, note, leftOut } = await makeBackup({
      dataDir,
      into,
      files,
      release,
      nowMs: Date.now(),
      onProgress: (doing, bytes, whole) =>
        progress.show(() => `${doing}: ${bytesText(bytes)} of about ${bytesText(whole)}`),
    });
    progress.clear();
    for (const name of leftOut) faults([`${name} is not in ${dataDir}, and not in the backup.`], 0);
    const parts = note.files.map(({ name, bytes }) => `${name} ${bytesText(bytes)}`);
    process.stdout.write(`${path}: ${parts.join(', ')}; read back and sound\n`);
    return 0;
  } catch (error) {
    progress.clear();
    return faults([plain(error as Error, into)], 1);
  }
}

/** Puts a backup back; the house must be stopped. */
export async function runRestore(from: string, values: Values): Promise<number> {
  const only = text(values.only);
  if (only !== null && only !== 'house' && only !== 'history') {
    return faults([`CLI_ARGUMENT: --only must be house or history, got ${only}. Leave it out for both.`], 2);
  }
  const progress = openProgress();
  const dataDir = dataDirOf(values);
  try {
    const { note, files, aside } = await restoreBackup({
      from,
      dataDir,
      files: only === null ? null : [`${only}.db`],
      nowMs: Date.now(),
      onProgress: (doing) => progress.show(() => doing),
    });
    progress.clear();
    const was = aside === null ? '' : ` What was there is in ${aside}.`;
    process.stdout.write(
      `${files.join(' and ')} of ${new Date(note.madeAtMs).toISOString()} put back in ${dataDir}.${was}\n`,
    );
    return 0;
  } catch (error) {
    progress.clear();
    return faults([plain(error as Error, from)], 1);
  }
}

function dataDirOf(values: Values): string {
  return text(values.data) ?? readEnvironment().dataDir;
}

function bytesText(bytes: number): string {
  return `${(bytes / 1e6).toFixed(1)} MB`;
}

/** The system's own refusals in the form of ours. */
function plain(error: Error, path: string): string {
  if (/^[A-Z_]+: /.test(error.message)) return error.message;
  return `BACKUP_FOLDER: ${path} must be a folder that can be read and written, got ${error.message}. Give another.`;
}
