/** Readings of a file on their way into the history: first looked at as a whole, then written. Wiring. */
import { createReadStream } from 'node:fs';
import { stat } from 'node:fs/promises';
import { readingFlags } from '../shared/contract/input.ts';
import type { FormReading } from './history/forms/form-reading.ts';
import type { Decoder } from './history/imports/decoder.ts';
import type { IntakeItem, Verdict } from './history/intake-item.ts';
import type { Writer } from './writer.ts';

/** What a file holds of one probe: how many readings, from when to when (epoch ms), °C. */
export type ProbePart = { readings: number; firstMs: number; lastMs: number; minC: number; maxC: number };

/** What was found in a file; faults as they are told, the first `faultsShownMax` of them. */
export type FileReport = {
  readings: number;
  probes: Map<string, ProbePart>;
  faults: string[];
  faultCount: number;
};

/** What became of a file's readings. */
export type ImportReport = { stored: number; repeats: number; conflicts: number; refused: number };

export type FileOptions = {
  path: string;
  /** A new decoder for each reading of the file. */
  decoder: () => Decoder;
  /** Readings after this instant are faults: no logger has them. */
  latestMs: number;
  onProgress: (bytes: number, wholeBytes: number) => void;
};

/** Faults of one file that are told; of more only the number is told. */
const faultsShownMax = 20;

/** The most probes of one file; a further one is a fault: its column is probably not the probe. */
const probesMax = 256;

/** Readings in one commit of an import. */
const itemsPerCommit = 5_000;

/** Commits under way at once: the next is read while the last is written. */
const commitsMax = 2;

/** Reads a whole file and writes nothing. Rejects where it cannot be read. */
export async function lookAtFile(options: FileOptions): Promise<FileReport> {
  const report: FileReport = { readings: 0, probes: new Map(), faults: [], faultCount: 0 };
  const addFault = (line: number, fault: string) => {
    report.faultCount += 1;
    if (report.faults.length < faultsShownMax)
      report.faults.push(`IMPORT_ROW: line ${line} of ${options.path} ${fault}.`);
  };
  for await (const rows of rowsOf(options)) {
    for (const row of rows) {
      if ('fault' in row) addFault(row.line, row.fault);
      else if (!report.probes.has(row.reading.probe) && report.probes.size >= probesMax) {
        addFault(
          row.line,
          `must be of one of at most ${probesMax} probes, got ${row.reading.probe} as one more`,
        );
      } else count(report, row.reading);
    }
  }
  return report;
}

/** Writes every reading of a file that is sound; one that the history has already is counted and left out. */
export async function importFile(
  options: FileOptions & { writer: Writer; receivedMs: number },
): Promise<ImportReport> {
  const { writer, receivedMs } = options;
  const report: ImportReport = { stored: 0, repeats: 0, conflicts: 0, refused: 0 };
  const open: Promise<void>[] = [];
  let items: IntakeItem[] = [];
  const commit = async () => {
    const batch = items;
    items = [];
    open.push(writer.commitReadings(batch).then((verdicts) => tally(report, verdicts)));
    if (open.length >= commitsMax) await open.shift();
  };
  await writer.beginImport();
  try {
    for await (const rows of rowsOf(options)) {
      for (const row of rows) {
        if ('fault' in row) continue;
        items.push(itemOf(row.reading, receivedMs));
        if (items.length >= itemsPerCommit) await commit();
      }
    }
    if (items.length > 0) await commit();
    await Promise.all(open);
  } finally {
    await Promise.allSettled(open);
    await writer.endImport();
  }
  return report;
}

type Rows = ReturnType<Decoder['push']>;

async function* rowsOf({
  path,
  decoder,
  latestMs,
  onProgress,
}: FileOptions): AsyncGenerator<Rows, void, void> {
  const { size } = await stat(path);
  const decode = decoder();
  let bytes = 0;
  const stream = createReadStream(path, { highWaterMark: 65_536 });
  stream.on('data', (piece) => {
    bytes += piece.length;
  });
  const text = new TextDecoder();
  const judged = (rows: Rows): Rows =>
    rows.map((row) =>
      'reading' in row && row.reading.atMs > latestMs
        ? {
            line: row.line,
            fault: `must not lie ahead of now, got ${new Date(row.reading.atMs).toISOString()}`,
          }
        : row,
    );
  for await (const piece of stream) {
    yield judged(decode.push(text.decode(piece as Buffer, { stream: true })));
    onProgress(bytes, size);
  }
  yield judged([...decode.push(text.decode()), ...decode.end()]);
}

function count(report: FileReport, { probe, atMs, tempC }: FormReading): void {
  report.readings += 1;
  const part = report.probes.get(probe);
  if (part === undefined) {
    report.probes.set(probe, { readings: 1, firstMs: atMs, lastMs: atMs, minC: tempC, maxC: tempC });
    return;
  }
  part.readings += 1;
  part.firstMs = Math.min(part.firstMs, atMs);
  part.lastMs = Math.max(part.lastMs, atMs);
  part.minC = Math.min(part.minC, tempC);
  part.maxC = Math.max(part.maxC, tempC);
}

/** Whether it is late is for the history to say; that it came from a file is marked. */
function itemOf({ probe, atMs, tempC, flags }: FormReading, receivedMs: number): IntakeItem {
  const kept = (flags & ~readingFlags.late) | readingFlags.imported;
  return { probe, tempC, flags: kept, receivedMs, stamp: { atMs } };
}

function tally(report: ImportReport, verdicts: readonly Verdict[]): void {
  for (const { is } of verdicts) {
    if (is === 'stored') report.stored += 1;
    else if (is === 'repeat') report.repeats += 1;
    else if (is === 'conflict') report.conflicts += 1;
    else report.refused += 1;
  }
}
