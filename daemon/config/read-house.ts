/** A house file on disk. */

import { readFile } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';
import { type Fault, faultOf } from './fault.ts';
import type { House } from './house-file.ts';
import { houseTextMax } from './house-text.ts';
import { parseHouse } from './parse-house.ts';

/** A house and the folder that its relative paths count from, or every fault of its file. */
export type ReadHouse = { ok: true; house: House; folder: string } | { ok: false; faults: Fault[] };

/** Reads and judges a house file; what the system refuses is a fault, too. The path is shown as it was given. */
export async function readHouse(path: string): Promise<ReadHouse> {
  let bytes: Buffer;
  try {
    bytes = await readFile(path);
  } catch (error) {
    return { ok: false, faults: [fileFault(path, 'a file that can be read', reasonOf(error))] };
  }
  if (bytes.length > houseTextMax * 4) {
    return { ok: false, faults: [fileFault(path, 'a small text', `${bytes.length} bytes`)] };
  }
  const text = textOf(bytes);
  if (text === null) return { ok: false, faults: [fileFault(path, 'UTF-8 text', 'other bytes')] };
  const parsed = parseHouse(text, path);
  return parsed.ok ? { ...parsed, folder: dirname(resolve(path)) } : parsed;
}

function textOf(bytes: Buffer): string | null {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    return null;
  }
}

function reasonOf(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? String(error.code) : String(error);
  const reasons: Readonly<Record<string, string>> = {
    ENOENT: 'none there',
    EACCES: 'one that this user may not read',
    EISDIR: 'a folder',
  };
  return reasons[code] ?? code;
}

function fileFault(file: string, rule: string, got: string): Fault {
  return faultOf({
    code: 'HOUSE_FILE',
    path: file,
    rule,
    got,
    spot: { file, line: 1, column: 1 },
    advice:
      'Give the path of the house file with --house, and see that this user may read it. An example is deploy/springhouse.example.yaml.',
  });
}
