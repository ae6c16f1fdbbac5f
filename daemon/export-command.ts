/** `springhouse history export`: readings of a data folder to a file or the output, also while the house runs. Wiring. */
import { createWriteStream } from 'node:fs';
import { access, rename, rm } from 'node:fs/promises';
import { finished } from 'node:stream/promises';
import { parseInstant } from './cli/csv-trace.ts';
import type { Values } from './cli/parse-command.ts';
import { openProgress, partText } from './cli/progress.ts';
import { faults, text } from './commands.ts';
import { readEnvironment } from './config/environment.ts';
import { type ExportForm, exportForms } from './history/forms/export-form.ts';
import { keptInstantMsMax } from './history/intake-item.ts';
import { type ExportAsk, exportText } from './history-export.ts';
import { openReader, type Reader } from './reader.ts';

type Span = { fromMs: number; toMs: number };
type Asked = { form: ExportForm; probes: string[]; span: Span; out: string | null };

/** The last instant that a history can hold and one more, epoch ms. */
const endMs = keptInstantMsMax + 1;

/** Runs the export; 0 when all is written, 1 where the disk or the folder refused, 2 for what was asked. */
export async function runHistoryExport(values: Values): Promise<number> {
  const asked = askedOf(values);
  if (Array.isArray(asked)) return faults(asked, 2);
  if (asked.out !== null && (await isThere(asked.out))) {
    return faults([fault('--out', 'a file that is not there yet', asked.out, 'Give another name.')], 2);
  }
  const reader = await openReader({ dataDir: text(values.data) ?? readEnvironment().dataDir });
  try {
    const kept = await reader.probesKept();
    const strangers = asked.probes.filter((probe) => !kept.includes(probe));
    if (strangers.length > 0) {
      const rule = `a probe that the history holds (${kept.join(', ') || 'none yet'})`;
      return faults(
        strangers.map((probe) => fault('--probe', rule, probe, 'Give one of these.')),
        2,
      );
    }
    const probes = asked.probes.length > 0 ? asked.probes : kept;
    const house = (await reader.meta()).houseId ?? 'house';
    await write(reader, { form: asked.form, probes, ...asked.span, house }, asked.out);
    return 0;
  } catch (error) {
    return faults([(error as Error).message], 1);
  } finally {
    await reader.close();
  }
}

async function write(reader: Reader, ask: ExportAsk, out: string | null): Promise<void> {
  const progress = openProgress();
  const whole = await countOf(reader, ask);
  let readings = 0;
  const pieces = exportText(reader, ask, (done) => {
    readings = done;
    progress.show(() => partText(done, whole, 'readings'));
  });
  // A file that is not whole must not look like one that is.
  const path = out === null ? null : `${out}.part`;
  const stream = path === null ? process.stdout : createWriteStream(path, { flags: 'w' });
  // Whoever reads the output may have seen enough.
  let isGone = false;
  stream.once('error', () => {
    isGone = true;
  });
  try {
    for await (const piece of pieces) {
      if (isGone) break;
      if (!stream.write(piece)) await drained(stream);
    }
    if (path !== null && out !== null) {
      stream.end();
      await finished(stream);
      await rename(path, out);
    }
  } catch (error) {
    if (path !== null) await rm(path, { force: true });
    throw error;
  } finally {
    progress.clear();
  }
  process.stderr.write(
    `${partText(readings, null, 'readings')} exported${out === null ? '' : ` to ${out}`}\n`,
  );
}

async function countOf(reader: Reader, { probes, fromMs, toMs }: ExportAsk): Promise<number> {
  let count = 0;
  for (const probe of probes) {
    for (const bucket of await reader.range({ probe, fromMs, toMs, points: 1 })) count += bucket.count;
  }
  return count;
}

/** Resolves when a stream takes more, or never will: its reader may be gone. */
function drained(stream: NodeJS.WritableStream): Promise<void> {
  return new Promise((resolve) => {
    const done = () => {
      for (const event of ['drain', 'close', 'error']) stream.off(event, done);
      resolve();
    };
    for (const event of ['drain', 'close', 'error']) stream.on(event, done);
  });
}

function askedOf(values: Values): Asked | string[] {
  const form = text(values.form) ?? 'csv';
  const found: string[] = [];
  if (!(exportForms as readonly string[]).includes(form)) {
    found.push(fault('--form', `one of ${exportForms.join(', ')}`, form, 'Choose one of these.'));
  }
  const span = { fromMs: 0, toMs: endMs };
  for (const [name, key] of [['from', 'fromMs'] as const, ['to', 'toMs'] as const]) {
    const typed = text(values[name]);
    if (typed === null) continue;
    const atMs = parseInstant(typed);
    if (atMs === null) found.push(fault(`--${name}`, 'RFC 3339 or epoch ms', typed, 'Mend it.'));
    else span[key] = atMs;
  }
  if (found.length === 0 && span.fromMs >= span.toMs) {
    found.push(fault('--from', 'before --to', String(text(values.from)), 'Turn them round.'));
  }
  if (found.length > 0) return found;
  const probes = Array.isArray(values.probe) ? values.probe.map(String) : [];
  return { form: form as ExportForm, probes, span, out: text(values.out) };
}

function fault(option: string, rule: string, got: string, doThis: string): string {
  return `CLI_ARGUMENT: ${option} must be ${rule}, got ${got}. ${doThis}`;
}

async function isThere(path: string): Promise<boolean> {
  return access(path).then(
    () => true,
    () => false,
  );
}
