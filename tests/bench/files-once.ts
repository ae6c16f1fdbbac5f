/**
 * One import or export in a process of its own, which prints the most memory that it held, MB, and what it did:
 *
 *   node tests/bench/files-once.ts import FILE.csv DIR
 *   node tests/bench/files-once.ts export DIR
 */

import { keptInstantMsMax } from '../../daemon/history/intake-item.ts';
import { exportText } from '../../daemon/history-export.ts';
import { openImportThread } from '../../daemon/import-thread.ts';
import { openReader } from '../../daemon/reader.ts';

const options = {
  form: 'csv',
  separator: ',',
  decimal: '.',
  skip: 0,
  at: 'at',
  columns: [],
  value: null,
  time: 'auto',
  zone: null,
  unit: 'C',
  write: true,
  leaveOutFaults: false,
} as const;

async function importOnce(path: string, dataDir: string): Promise<string> {
  const thread = openImportThread(() => {});
  await thread.look({ path, options: { ...options, columns: [] }, latestMs: keptInstantMsMax });
  const report = await thread.write(dataDir);
  await thread.close();
  return `${report.stored} stored`;
}

async function exportOnce(dataDir: string): Promise<string> {
  const reader = await openReader({ dataDir });
  const probes = await reader.probesKept();
  const ask = { form: 'csv', probes, fromMs: 0, toMs: keptInstantMsMax, house: 'bench' } as const;
  let characters = 0;
  for await (const piece of exportText(reader, ask)) characters += piece.length;
  await reader.close();
  return `${characters} characters`;
}

const [what, first = '', second = ''] = process.argv.slice(2);
const done = what === 'import' ? await importOnce(first, second) : await exportOnce(first);
const peakMb = process.resourceUsage().maxRSS / 1024;
process.stdout.write(`${JSON.stringify({ peakMb, done })}\n`);
