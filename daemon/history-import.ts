/** Readings of a file on their way into the history: first looked at as a whole, then written. Wiring. */
import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import { readingFlags } from '../shared/contract/input.ts';
import type { Disk } from './disk.ts';
import type { FormReading } from './history/forms/form-reading.ts';
import type { Decoder, FileRow } from './history/imports/decoder.ts';
import type { IntakeItem, Verdict } from './history/intake-item.ts';

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

/** Faults of one file that are told; of more only the number is told. */
const faultsShownMax = 20;

/** The most probes of one file; a further one is a fault: its column is probably not the probe. */
const probesMax = 256;

/** Readings in one commit of an import. */
const itemsPerCommit = 2_000;

/** Read of a file at a time, bytes. */
const pieceBytes = 32_768;

/** A file's rows, a piece of the file at a time. */
export type FileRows = {
  readonly bytes: number;
  readonly wholeBytes: number;
  /** Returns the rows of the next piece, null where the file is over. */
  next(): FileRow[] | null;
  close(): void;
};

/** Opens a file; readings after `latestMs` are faults, since no logger has them. Throws where it cannot be read. */
export function openFileRows(
  path: string,
  { decoder, latestMs }: { decoder: Decoder; latestMs: number },
): FileRows {
  const handle = openSync(path, 'r');
  const wholeBytes = fstatSync(handle).size;
  const piece = Buffer.allocUnsafe(pieceBytes);
  const text = new TextDecoder();
  let bytes = 0;
  let isOver = false;
  const judged = (row: FileRow): FileRow =>
    'reading' in row && row.reading.atMs > latestMs
      ? {
          line: row.line,
          fault: `must not lie ahead of now, got ${new Date(row.reading.atMs).toISOString()}`,
        }
      : row;
  return {
    get bytes() {
      return bytes;
    },
    wholeBytes,
    next: () => {
      if (isOver) return null;
      const read = readSync(handle, piece);
      bytes += read;
      isOver = read === 0;
      const rows = isOver
        ? [...decoder.push(text.decode()), ...decoder.end()]
        : decoder.push(text.decode(piece.subarray(0, read), { stream: true }));
      return rows.map(judged);
    },
    close: () => closeSync(handle),
  };
}

/** A report of a file of which nothing was looked at yet. */
export function emptyReport(): FileReport {
  return { readings: 0, probes: new Map(), faults: [], faultCount: 0 };
}

/** Takes a row into the report of its file. */
export function reportRow(report: FileReport, row: FileRow, path: string): void {
  const fault =
    'fault' in row
      ? row.fault
      : !report.probes.has(row.reading.probe) && report.probes.size >= probesMax
        ? `must be of one of at most ${probesMax} probes, got ${row.reading.probe} as one more`
        : null;
  if (fault !== null) {
    report.faultCount += 1;
    const told = report.faults.length;
    if (told < faultsShownMax) report.faults.push(`IMPORT_ROW: line ${row.line} of ${path} ${fault}.`);
  } else if ('reading' in row) count(report, row.reading);
}

/** The disk of an import: it is alone with the folder, so it works in its own thread. */
export type ImportDisk = Pick<Disk, 'beginImport' | 'endImport' | 'commitReadings'> & {
  /** Does one piece of what the history does between commits; false where nothing is due. */
  tend?: () => boolean;
};

export type Import = {
  readonly report: ImportReport;
  add(rows: readonly FileRow[]): void;
  /** Commits what waits and says that the file is over. */
  end(): void;
};

/**
 * Writes the sound rows of a file, and seals what it has written as it goes; a reading that the history has
 * already is counted and left out.
 */
export function openImport(disk: ImportDisk, receivedMs: number): Import {
  const report: ImportReport = { stored: 0, repeats: 0, conflicts: 0, refused: 0 };
  let items: IntakeItem[] = [];
  const commit = () => {
    if (items.length > 0) tally(report, disk.commitReadings(items));
    items = [];
    while (disk.tend?.() === true) {
      // A piece at a time, each in a transaction of its own.
    }
  };
  disk.beginImport();
  return {
    report,
    add: (rows) => {
      for (const row of rows) {
        if ('fault' in row) continue;
        items.push(itemOf(row.reading, receivedMs));
        if (items.length >= itemsPerCommit) commit();
      }
    },
    end: () => {
      commit();
      disk.endImport();
    },
  };
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
