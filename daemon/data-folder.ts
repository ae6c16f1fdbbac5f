/** The folder that holds a house's two files, used by one daemon at a time. */
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { takeLock } from './sqlite/database.ts';
import { DiskFault } from './sqlite/disk-fault.ts';

/** Where the files of a data folder are. */
export type DataPaths = { house: string; history: string };

export type DataFolder = { paths: DataPaths; close: () => void };

/** Returns where a data folder keeps its files, without touching them. */
export function dataPaths(dir: string): DataPaths {
  return { house: join(dir, 'house.db'), history: join(dir, 'history.db') };
}

/**
 * Makes the folder where it is missing and holds it against every other process until `close`, or until
 * this process ends. Throws `DATA_BUSY` where another holds it, `DATA_FOLDER` where it cannot be used.
 */
export function openDataFolder(dir: string): DataFolder {
  try {
    mkdirSync(dir, { recursive: true });
  } catch (error) {
    const found = error instanceof Error ? error.message : String(error);
    throw new DiskFault(
      'DATA_FOLDER',
      `${dir} must be a folder that can be made, got ${found}. Give another with --data.`,
    );
  }
  try {
    return { paths: dataPaths(dir), close: takeLock(join(dir, 'lock.db')) };
  } catch (error) {
    if (!(error instanceof DiskFault) || error.code !== 'DISK_LOCKED') throw error;
    throw new DiskFault(
      'DATA_BUSY',
      `the data folder ${dir} must be used by one daemon at a time, got a second start. Stop the other one, or give another folder with --data.`,
    );
  }
}
