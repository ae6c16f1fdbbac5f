/** The commands that run and end, each from the rooms that it needs; they return an exit code. Wiring. */
import { readFile } from 'node:fs/promises';
import type { z } from 'zod';
import type { HouseView, probesView } from '../shared/contract/api.ts';
import type { HousePrior } from '../shared/contract/prior.ts';
import { askOwner } from './ask-owner.ts';
import { parseTrace } from './cli/csv-trace.ts';
import { mirrorsTable } from './cli/mirrors-table.ts';
import type { Values } from './cli/parse-command.ts';
import { probesTable, refusalLines } from './cli/probes-table.ts';
import { parseReplayOptions, strangersOf } from './cli/replay-options.ts';
import { checkHouse } from './config/check-house.ts';
import { readEnvironment } from './config/environment.ts';
import { httpPortDefault } from './config/house-file.ts';
import { readHouse } from './config/read-house.ts';
import { parsePrior } from './kept-prior.ts';
import { openReader } from './reader.ts';
import type { ChainFault } from './record/verify.ts';
import { replay } from './replay.ts';

/** `springhouse check FILE`. */
export async function runCheck(file: string): Promise<number> {
  const { exitCode, text } = await checkHouse(file);
  (exitCode === 0 ? process.stdout : process.stderr).write(text);
  return exitCode;
}

/** `springhouse replay FILE.csv`: one JSON object a line. */
export async function runReplay(file: string, values: Values): Promise<number> {
  const parsed = parseReplayOptions(file, values);
  if ('faults' in parsed) return faults(parsed.faults, 2);
  const text = await readFile(file, 'utf8').catch((error: Error) => error);
  if (text instanceof Error) {
    return faults(
      [`TRACE_FILE: ${file} must be a file that can be read, got ${text.message}. Give its path.`],
      1,
    );
  }
  const read = parseTrace(text, file);
  if ('faults' in read) return faults(read.faults, 1);
  const prior = await priorOfFile(typeof values.prior === 'string' ? values.prior : null);
  if (prior instanceof Error) return faults([prior.message], 1);
  if (prior !== null) parsed.options.prior = prior;
  const strangers = strangersOf(parsed.options, read.trace.probes);
  if (strangers.length > 0) return faults(strangers, 2);
  faults(read.leftOut.slice(0, leftOutShownMax), 0);
  if (read.leftOut.length > leftOutShownMax) faults([`and ${read.leftOut.length - leftOutShownMax} more`], 0);
  for (const line of replay(read.trace, parsed.options)) process.stdout.write(`${JSON.stringify(line)}\n`);
  return 0;
}

/** The prior of a file; null where none was given, an error where it holds none. */
async function priorOfFile(file: string | null): Promise<HousePrior | Error | null> {
  if (file === null) return null;
  const read = await readFile(file, 'utf8').catch(() => '');
  const must = 'PRIOR_FILE: --prior must be a file that springhouse prior export wrote';
  return parsePrior(read) ?? new Error(`${must}, got ${file}. Export it again.`);
}

/** Values left out of a trace that are told one by one; of more only the number is told. */
const leftOutShownMax = 20;

/** `springhouse record verify`. */
export async function runRecordVerify(values: Values): Promise<number> {
  const dataDir = text(values.data) ?? readEnvironment().dataDir;
  const reader = await openReader({ dataDir });
  try {
    const isTerminal = process.stderr.isTTY;
    const report = await reader.verify((events) => {
      if (isTerminal) process.stderr.write(`\r${events} events checked`);
    });
    if (isTerminal) process.stderr.write('\r');
    if (report.faults.length === 0) {
      process.stdout.write(`${report.events} events, the chain is whole, last hash ${report.lastHash}\n`);
      return 0;
    }
    const lines = report.faults.map(chainFaultText);
    const more = report.faultCount - report.faults.length;
    return faults(more > 0 ? [...lines, `and ${more} more`] : lines, 1);
  } catch (error) {
    return faults([(error as Error).message], 1);
  } finally {
    await reader.close();
  }
}

function chainFaultText({ recordSeq, kind, expected, found }: ChainFault): string {
  return `RECORD_BROKEN: the ${kind} of event ${recordSeq} must be ${expected}, got ${found}. Restore house.db from a backup; the events before this one are whole.`;
}

/** `springhouse probes`: asks the running house. */
export function runProbes(values: Values): Promise<number> {
  return askHouse(values, async (url) => {
    const house = (await askEither(url, '/api/house')) as HouseView;
    const { probes, refusals } = (await askEither(url, '/api/probes')) as z.infer<typeof probesView>;
    return values.json === true
      ? `${JSON.stringify(probes)}\n`
      : `${probesTable(probes, house)}${refusalLines(refusals)}`;
  });
}

/** `springhouse mirrors`: asks the running house. */
export function runMirrors(values: Values): Promise<number> {
  return askHouse(values, async (url) => {
    const { mirrors, disk, nowMs } = (await ask(`${url}/api/house`)) as HouseView;
    return values.json === true
      ? `${JSON.stringify({ mirrors, disk })}\n`
      : mirrorsTable(mirrors, disk, nowMs);
  });
}

/** Prints what a running house answers, or that there is none. */
async function askHouse(values: Values, textOf: (url: string) => Promise<string>): Promise<number> {
  const url = text(values.url) ?? (await urlOfHouse(text(values.house)));
  try {
    process.stdout.write(await textOf(url));
    return 0;
  } catch (error) {
    const got =
      (error as Error).cause instanceof Error ? ((error as Error).cause as Error).message : String(error);
    return faults(
      [
        `HOUSE_AWAY: a house must be running at ${url}, got ${got}. Start it with springhouse run, or give --url.`,
      ],
      1,
    );
  }
}

/** Writes faults to the error stream, a line each, and returns the exit code. */
export function faults(lines: readonly string[], exitCode: number): number {
  for (const line of lines) process.stderr.write(`${line}\n`);
  return exitCode;
}

/** The text of an option; null where it was not given. */
export function text(value: Values[string]): string | null {
  return typeof value === 'string' ? value : null;
}

async function urlOfHouse(houseFile: string | null): Promise<string> {
  const read = await readHouse(houseFile ?? readEnvironment().houseFile);
  const port = read.ok ? read.house.http.port : httpPortDefault;
  return `http://127.0.0.1:${port}`;
}

/** On an open house whoever asks must sign in, but for the owner of the data folder. */
async function askEither(url: string, path: string): Promise<unknown> {
  try {
    return await ask(`${url}${path}`);
  } catch (error) {
    if (!(error as Error).message.startsWith('401')) throw error;
    const answered = await askOwner(readEnvironment().dataDir, path);
    if (answered.is !== 'answer') throw error;
    return answered.body;
  }
}

async function ask(url: string): Promise<unknown> {
  const answer = await fetch(url, { signal: AbortSignal.timeout(askMaxMs) });
  if (!answer.ok) throw new Error(`${answer.status} from ${url}`);
  return answer.json();
}

/** How long a house may take to answer. */
const askMaxMs = 5_000;
