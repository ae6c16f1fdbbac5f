/** The main side of an import's thread. Wiring. */
import type { FileReport, ImportReport } from './history-import.ts';
import type { ImportCalls, ImportFile } from './import-worker.ts';
import { openThread, workerUrl } from './sqlite/thread.ts';

export type ImportThread = {
  /** Looks at a whole file and writes nothing. Rejects where it cannot be read. */
  look(file: ImportFile): Promise<FileReport>;
  /** Writes the file that was looked at; rejects where the house runs or the disk refuses. */
  write(dataDir: string): Promise<ImportReport>;
  close(): Promise<void>;
};

/**
 * The memory that the thread may take, MB: what is young is collected often, since every row is garbage as
 * soon as it is committed. Measured: an import takes half of this, and as much for a year as for a day.
 */
const limits = { maxYoungGenerationSizeMb: 4, maxOldGenerationSizeMb: 64 };

/** Starts the thread; `onProgress` hears of the bytes done and of how many there are. */
export function openImportThread(onProgress: (bytes: number, wholeBytes: number) => void): ImportThread {
  const thread = openThread<ImportCalls>(workerUrl('./import-worker', import.meta.url), undefined, limits);
  return {
    look: async (file) => {
      await thread.call('look', file);
      for (;;) {
        const { bytes, wholeBytes, report } = await thread.call('lookSlice');
        onProgress(bytes, wholeBytes);
        if (report !== null) return report;
      }
    },
    write: async (dataDir) => {
      await thread.call('write', dataDir, Date.now());
      for (;;) {
        const { bytes, wholeBytes, isOver, report } = await thread.call('writeSlice');
        onProgress(bytes, wholeBytes);
        if (isOver) return report;
      }
    },
    close: thread.close,
  };
}
