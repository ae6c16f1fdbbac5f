/** The entry of an import's thread, whose memory is bounded however long the file is. */
import type { ImportOptions } from './cli/import-options.ts';
import { type Disk, openDisk } from './disk.ts';
import {
  emptyReport,
  type FileReport,
  type FileRows,
  type Import,
  type ImportReport,
  openFileRows,
  openImport,
  reportRow,
} from './history-import.ts';
import { decoderOf } from './import-decoder.ts';
import { serveThread } from './sqlite/thread.ts';

export type ImportFile = { path: string; options: ImportOptions; latestMs: number };

/** How far a slice came. */
export type SliceDone = { bytes: number; wholeBytes: number; isOver: boolean };

/** What the thread can be asked, in this order; slices until one is over. */
export type ImportCalls = {
  /** Begins to look at a file. */
  look(file: ImportFile): void;
  lookSlice(): SliceDone & { report: FileReport | null };
  /** Takes the data folder and begins the same file anew, to write it. */
  write(dataDir: string, nowMs: number): void;
  writeSlice(): SliceDone & { report: ImportReport };
};

/** Pieces of the file in one slice. */
const piecesPerSlice = 16;

let file: ImportFile | null = null;
let rows: FileRows | null = null;
let disk: Disk | null = null;
let writing: Import | null = null;
let report = emptyReport();

function begin(): void {
  if (file === null) throw new Error('a file must be looked at first, got a write before it.');
  const decoder = decoderOf(file.options);
  if (typeof decoder === 'string') throw new Error(`the form of instants must be ${decoder}.`);
  rows?.close();
  rows = openFileRows(file.path, { decoder, latestMs: file.latestMs });
}

function slice(take: (rows: NonNullable<ReturnType<FileRows['next']>>) => void): SliceDone {
  if (rows === null) throw new Error('a file must be open, got a slice before it.');
  for (let pieces = 0; pieces < piecesPerSlice; pieces++) {
    const found = rows.next();
    if (found === null) return { bytes: rows.bytes, wholeBytes: rows.wholeBytes, isOver: true };
    take(found);
  }
  return { bytes: rows.bytes, wholeBytes: rows.wholeBytes, isOver: false };
}

serveThread<ImportCalls>(
  {
    look: (asked) => {
      file = asked;
      report = emptyReport();
      begin();
    },
    lookSlice: () => {
      const path = file?.path ?? '';
      const done = slice((found) => {
        for (const row of found) reportRow(report, row, path);
      });
      return { ...done, report: done.isOver ? report : null };
    },
    write: (dataDir, nowMs) => {
      begin();
      disk = openDisk({ dataDir });
      // The house was not alive while it imports: its last sign of life must stay what it was.
      writing = openImport(disk, disk.opened.lastReceivedMs ?? nowMs);
    },
    writeSlice: () => {
      if (writing === null) throw new Error('an import must be begun, got a slice before it.');
      const into = writing;
      const done = slice(into.add);
      if (done.isOver) into.end();
      return { ...done, report: into.report };
    },
  },
  () => {
    rows?.close();
    disk?.close();
  },
);
