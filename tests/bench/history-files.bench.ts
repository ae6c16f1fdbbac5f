/** What importing and exporting a long CSV takes of memory and time, each in a process of its own. */
import { execFile } from 'node:child_process';
import { createWriteStream } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { finished } from 'node:stream/promises';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { openRandom } from '../../probes/simulated/random.ts';
import { type Bench, rounded } from './figure.ts';

/** Readings of one probe, one a second; a year of them in the full size. */
const readingsOf = { small: 60_000, full: 31_536_000 } as const;

/**
 * Constant means: a year takes no more than a tenth of it, but for what a collector leaves lying, MB. A bound of this
 * bench's own, set when two sizes had been seen.
 */
const grownMbMax = 20;
/** The most that a year may add to the memory of the process, MB. */
const addedMbMax = 100;

const startMs = Date.UTC(2025, 0, 1);
const once = fileURLToPath(new URL('./files-once.ts', import.meta.url));
const run = promisify(execFile);

type Done = { peakMb: number; done: string; spanMs: number };

/**
 * `import-memory`: what a year adds to the memory of a process that does the same with a single reading;
 * `export-memory`: what it adds to one that does the same with a tenth. The whole process is told beside it, most of
 * which is Node and the code itself, and what its collectors leave lying.
 */
export const historyFilesBench: Bench = async (size, tell) => {
  const dir = await mkdtemp(join(tmpdir(), 'springhouse-files-'));
  const readings = readingsOf[size];
  const figure = (name: string, value: number, unit: string, most?: number) =>
    tell({
      bench: 'history',
      figure: name,
      value: rounded(value),
      unit,
      versus: most === undefined ? null : `aim of at most ${most}: ${value <= most ? 'met' : 'missed'}`,
      ratio: most === undefined ? null : rounded(value / most),
    });
  try {
    const [one, tenth, all] = [join(dir, 'one.csv'), join(dir, 'tenth.csv'), join(dir, 'all.csv')];
    await writeCsv(one, 1);
    await writeCsv(tenth, readings / 10);
    await writeCsv(all, readings);
    // Twice: the first run compiles, the second finds it done.
    await timed('import', one, join(dir, 'warm'));
    const bare = await timed('import', one, join(dir, 'one'));
    await timed('import', tenth, join(dir, 'tenth'));
    const imported = await timed('import', all, join(dir, 'all'));
    await timed('export', join(dir, 'warm'));
    const bareOut = await timed('export', join(dir, 'one'));
    // So few readings as in the small size do not fill what a collector leaves lying.
    const growthMbMax = size === 'full' ? grownMbMax : undefined;
    const exportedTenth = await timed('export', join(dir, 'tenth'));
    const exported = await timed('export', join(dir, 'all'));
    figure('import-memory', imported.peakMb - bare.peakMb, 'MB more than for one reading', addedMbMax);
    figure('import-memory-process', imported.peakMb, 'MB');
    figure('import-rate', readings / (imported.spanMs / 1000), 'readings/s, looked at and written');
    figure('export-memory', exported.peakMb - exportedTenth.peakMb, 'MB more than for a tenth', growthMbMax);
    figure('export-memory-added', exported.peakMb - bareOut.peakMb, 'MB more than for one reading');
    figure('export-memory-process', exported.peakMb, 'MB');
    figure('export-rate', readings / (exported.spanMs / 1000), 'readings/s');
    return `${imported.done}, ${exported.done}`;
  } finally {
    await rm(dir, { recursive: true, force: true });
  }

  async function timed(what: 'import' | 'export', ...paths: string[]): Promise<Done> {
    const fromMs = performance.now();
    const env = { ...process.env, NODE_COMPILE_CACHE: join(dir, 'compiled') };
    const { stdout } = await run(process.execPath, [once, what, ...paths], { env });
    return { ...(JSON.parse(stdout) as Omit<Done, 'spanMs'>), spanMs: performance.now() - fromMs };
  }
};

/** A fridge in steps of 0.0625 °C with noise, a reading a second. */
async function writeCsv(path: string, readings: number): Promise<void> {
  const random = openRandom(1, 'history files');
  const stream = createWriteStream(path);
  stream.write('at,probe,celsius,flags\r\n');
  for (let index = 0; index < readings; ) {
    let text = '';
    for (let rows = 0; rows < 5_000 && index < readings; rows++, index++) {
      const tempC = 4 + Math.sin(index / 3_000) + (random.uniform() - 0.5) * 0.12;
      text += `${new Date(startMs + index * 1_000).toISOString()},larder,${Math.round(tempC * 16) / 16},\r\n`;
    }
    if (!stream.write(text)) await new Promise<void>((resolve) => stream.once('drain', () => resolve()));
  }
  stream.end();
  await finished(stream);
}
