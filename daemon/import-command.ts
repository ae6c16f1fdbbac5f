/** `springhouse history import`: looks at a file and says what it holds; writes it where it is told to. Wiring. */

import { counted } from '../shared/units/format.ts';
import { parseImportOptions } from './cli/import-options.ts';
import type { Values } from './cli/parse-command.ts';
import { openProgress } from './cli/progress.ts';
import { faults, text } from './commands.ts';
import { readEnvironment } from './config/environment.ts';
import type { FileReport, ImportReport } from './history-import.ts';
import { decoderOf } from './import-decoder.ts';
import { openImportThread } from './import-thread.ts';
import { openReader } from './reader.ts';

/** How far ahead of this machine's clock a reading may lie: as over the wires. */
const aheadMsMax = 120_000;

/** Runs the import; 0 when it is done or the file is sound, 1 for faults of the file or the folder, 2 for what was asked. */
export async function runHistoryImport(path: string, values: Values): Promise<number> {
  const parsed = parseImportOptions(path, values);
  if ('faults' in parsed) return faults(parsed.faults, 2);
  const { options } = parsed;
  const decoder = decoderOf(options);
  if (typeof decoder === 'string') {
    return faults([`CLI_ARGUMENT: --time must be ${decoder}, got ${options.time}. Mend it.`], 2);
  }
  const dataDir = text(values.data) ?? readEnvironment().dataDir;
  const progress = openProgress();
  const thread = openImportThread((bytes, whole) =>
    progress.show(() => `${Math.floor((bytes / Math.max(1, whole)) * 100)} % of ${path}`),
  );
  try {
    const report = await thread.look({ path, options, latestMs: Date.now() + aheadMsMax });
    progress.clear();
    process.stdout.write(await reportText(report, dataDir));
    const exitCode = faultsOf(report);
    if (exitCode !== 0 && !options.leaveOutFaults) return exitCode;
    if (!options.write) {
      process.stdout.write('Nothing was written: this was a trial. Give --write to write it.\n');
      return 0;
    }
    const written = await thread.write(dataDir);
    progress.clear();
    process.stdout.write(writtenText(written));
    return written.refused > 0 ? 1 : 0;
  } catch (error) {
    progress.clear();
    return faults([whyNot(path, error as Error)], 1);
  } finally {
    await thread.close();
  }
}

function writtenText({ stored, repeats, conflicts, refused }: ImportReport): string {
  const shown = (count: number) => count.toLocaleString('en-US');
  return `Written: ${counted(stored, 'reading')}. Left out: ${shown(repeats)} that were there already, ${shown(conflicts)} where another value was there, ${shown(refused)} that the history refused.\n`;
}

async function reportText({ readings, probes, faultCount }: FileReport, dataDir: string): Promise<string> {
  const head = `${counted(readings, 'reading')} of ${counted(probes.size, 'probe')}, ${counted(faultCount, 'fault')}\n`;
  const reader = await openReader({ dataDir });
  const lines: string[] = [];
  for (const [probe, part] of [...probes].sort(([a], [b]) => (a < b ? -1 : 1))) {
    const span = { probe, fromMs: part.firstMs, toMs: part.lastMs + 1, points: 1 };
    const there = await reader.range(span).then(
      ([bucket]) => bucket?.count ?? 0,
      () => 0,
    );
    lines.push(
      `  ${probe}: ${part.readings.toLocaleString('en-US')}, ${new Date(part.firstMs).toISOString()} to ${new Date(part.lastMs).toISOString()}, ${part.minC.toFixed(2)} to ${part.maxC.toFixed(2)} °C${there > 0 ? `; the history has ${counted(there, 'reading')} in that span, and keeps its own where both have one` : ''}\n`,
    );
  }
  await reader.close();
  return head + lines.join('');
}

function faultsOf({ faults: told, faultCount }: FileReport): number {
  faults(told, 1);
  if (faultCount > told.length) faults([`and ${(faultCount - told.length).toLocaleString('en-US')} more`], 1);
  if (faultCount > 0) {
    faults(['Mend the file or the mapping, or give --leave-out-faults to go on without these rows.'], 1);
  }
  return faultCount > 0 ? 1 : 0;
}

function whyNot(file: string, error: Error): string {
  const isOurs = /^[A-Z_]+: /.test(error.message);
  return isOurs
    ? error.message
    : `IMPORT_FILE: ${file} must be a file that can be read, got ${error.message}. Give its path.`;
}
