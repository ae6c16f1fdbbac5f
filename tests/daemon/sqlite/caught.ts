import { DiskFault } from '../../../daemon/sqlite/disk-fault.ts';

/** Returns code and message of the fault that `work` throws; fails where it throws none, or a bug. */
export function caught(work: () => unknown): { code: string; message: string } {
  try {
    work();
  } catch (error) {
    if (error instanceof DiskFault) return { code: error.code, message: error.message };
    throw error;
  }
  throw new Error('a fault must be thrown, got none.');
}
