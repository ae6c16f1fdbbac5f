/** The note that lies in a backup's folder and says what is in it. Wiring. */
import { z } from 'zod';

const sha256 = z.string().regex(/^[0-9a-f]{64}$/);

/** One file of a backup. */
const backupFile = z.object({
  name: z.enum(['house.db', 'history.db']),
  bytes: z.int(),
  sha256,
  /** The version of its tables. */
  version: z.int(),
});
export type BackupFile = z.infer<typeof backupFile>;

/** `backup.json`: made last, so that a folder without one is no backup. */
export const backupNote = z.object({
  v: z.literal(1),
  madeAtMs: z.int(),
  release: z.string(),
  /** The house's id; null where its record was not read. */
  house: z.string().nullable(),
  /** The newest event of the record in it; null where the record is not in it. */
  recordSeq: z.int().nullable(),
  files: z.array(backupFile).min(1),
});
export type BackupNote = z.infer<typeof backupNote>;

/** The note's name. */
export const backupNoteName = 'backup.json';

/** Reads a note; a text is the rule that it breaks. */
export function parseBackupNote(text: string): BackupNote | string {
  try {
    const parsed = backupNote.safeParse(JSON.parse(text));
    return parsed.success ? parsed.data : 'what a backup writes';
  } catch {
    return 'JSON';
  }
}
