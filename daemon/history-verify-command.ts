/** `springhouse history verify`. Wiring. */
import type { Values } from './cli/parse-command.ts';
import { openProgress } from './cli/progress.ts';
import { faults, text } from './commands.ts';
import { readEnvironment } from './config/environment.ts';
import type { HistoryDamage, HistoryVerifyProgress, HistoryVerifyReport } from './history/verify.ts';
import { openReader } from './reader.ts';

/** Checks the history of a data folder; 0 where all of it is as it was kept, else 1. */
export async function runHistoryVerify(values: Values): Promise<number> {
  const reader = await openReader({ dataDir: text(values.data) ?? readEnvironment().dataDir });
  const progress = openProgress();
  try {
    const report = await reader.verifyHistory((done) => progress.show(() => progressText(done)));
    progress.clear();
    if (values.json === true) {
      process.stdout.write(`${JSON.stringify({ v: 1, ...report })}\n`);
      return report.damageCount === 0 ? 0 : 1;
    }
    return told(report);
  } catch (error) {
    progress.clear();
    return faults([(error as Error).message], 1);
  } finally {
    await reader.close();
  }
}

function told(report: HistoryVerifyReport): number {
  const { commits, blocks, sealed, rollups, damage, damageCount } = report;
  const looked = `${commits} commits, ${blocks} blocks of ${sealed} readings, ${rollups} rows of hours and days`;
  if (damageCount === 0) {
    process.stdout.write(`${looked}: all as they were kept\n`);
    return 0;
  }
  const more = damageCount - damage.length;
  return faults(
    [...damage.map(damageText), ...(more > 0 ? [`and ${more} more`] : []), `${looked} looked at`],
    1,
  );
}

function progressText({ stage, commits, blocks, rollups }: HistoryVerifyProgress): string {
  return `checking ${stage}: ${commits} commits, ${blocks} blocks, ${rollups} rows of hours and days so far`;
}

/** Says of one damage what it is, what it costs and what to do. */
export function damageText({ part, id, probe, fromMs, toMs, found }: HistoryDamage): string {
  const of = probe === null ? '' : ` of ${probe}`;
  const span = fromMs === null || toMs === null ? '' : ` (${instant(fromMs)} to ${instant(toMs)})`;
  const name = { pages: 'history.db', log: `commit ${id}`, block: `block ${id}`, rollup: `roll-up ${id}` }[
    part
  ];
  return `HISTORY_DAMAGED: ${name}${of}${span} must be as it was kept, got ${found}. ${whatToDo[part]}`;
}

const whatToDo = {
  pages:
    'Copy the file, take out what can be read with springhouse history export, and put a backup back with springhouse restore --only history.',
  log: 'Put a backup back with springhouse restore --only history; what is sealed already is in its blocks.',
  block:
    'It costs this stretch alone, which is a gap. Put a backup back with springhouse restore --only history, or import the stretch again from an export or a mirror: it is taken.',
  rollup:
    'The readings are whole; curves over long spans are wrong there. Put a backup back with springhouse restore --only history, or export the readings and import them into a new file.',
} as const;

/** A damaged row may say an instant that no calendar has. */
function instant(atMs: number): string {
  return Math.abs(atMs) <= 8.64e15 ? new Date(atMs).toISOString() : String(atMs);
}
