/** Every way in which the disk refuses, with a code that callers decide by. */
export const diskFaultCodes = [
  'DATA_BUSY',
  'DATA_DAMAGED',
  'DATA_FOLDER',
  'DATA_FOREIGN',
  'DATA_MISSING',
  'DATA_NEWER',
  'DATA_OLDER',
  'DISK_FAILED',
  'DISK_FULL',
  'DISK_LOCKED',
  'DISK_READ_ONLY',
  'ERA_RULE',
  'EVENT_RULE',
  'LIMIT_RULE',
  'RANGE_RULE',
  'THREAD_FULL',
  'THREAD_GONE',
] as const;
export type DiskFaultCode = (typeof diskFaultCodes)[number];

/** A refusal of the disk, `CODE: <thing> must be <rule>, got <value>. <What to do>.`; nothing was changed. */
export class DiskFault extends Error {
  readonly code: DiskFaultCode;

  constructor(code: DiskFaultCode, sentence: string) {
    super(`${code}: ${sentence}`);
    this.name = 'DiskFault';
    this.code = code;
  }
}

/** Throws `LIMIT_RULE` where a count is no whole number from 0 to `most`; `what` says what is counted. */
export function expectAtMost(what: string, count: number, most: number): void {
  if (Number.isInteger(count) && count >= 0 && count <= most) return;
  throw new DiskFault('LIMIT_RULE', `the ${what} must be from 0 to ${most}, got ${count}. Ask in parts.`);
}

/** Primary result codes of SQLite (sqlite.org/rescode.html) that are no bug of ours, and what they mean here. */
const meanings: Record<number, (path: string, found: string) => DiskFault> = {
  5: (path, found) =>
    new DiskFault(
      'DISK_LOCKED',
      `${path} must be free for a write, got ${found}. Close what holds it; the next try may pass.`,
    ),
  6: (path, found) =>
    new DiskFault(
      'DISK_LOCKED',
      `${path} must be free for a write, got ${found}. Close what holds it; the next try may pass.`,
    ),
  8: (path, found) =>
    new DiskFault(
      'DISK_READ_ONLY',
      `${path} must be writable, got ${found}. Give its folder back to the user who runs this; the next try may pass.`,
    ),
  10: (path, found) =>
    new DiskFault(
      'DISK_FAILED',
      `${path} must be readable and writable, got ${found}. Look at the disk and its cable; the next try may pass.`,
    ),
  11: (path, found) => damaged(path, found),
  13: (path, found) =>
    new DiskFault(
      'DISK_FULL',
      `the disk of ${path} must have room, got ${found}. Free some space; the next try may pass.`,
    ),
  14: (path, found) =>
    new DiskFault(
      'DATA_FOLDER',
      `${path} must be a file that can be opened, got ${found}. Check the folder and who may use it.`,
    ),
  26: (path, found) => damaged(path, found),
};

/** Returns the fault behind an error of SQLite on the file at `path`, or the error itself where it is another. */
export function asDiskFault(error: unknown, path: string): unknown {
  const code = sqliteCode(error);
  const meaning = code === null ? undefined : meanings[code & 0xff];
  return meaning === undefined ? error : meaning(path, (error as Error).message);
}

/** Returns true where the database refused one row (a constraint, a type, a size) and would take others. */
export function isRowRefusal(error: unknown): error is Error {
  const code = sqliteCode(error);
  return code !== null && [18, 19, 20].includes(code & 0xff);
}

function damaged(path: string, found: string): DiskFault {
  return new DiskFault(
    'DATA_DAMAGED',
    `${path} must be a sound database, got ${found}. Nothing was overwritten: put a backup in its place, or move it and its -wal and -shm files away to begin a new one.`,
  );
}

function sqliteCode(error: unknown): number | null {
  if (!(error instanceof Error) || !('errcode' in error)) return null;
  return typeof error.errcode === 'number' ? error.errcode : null;
}
