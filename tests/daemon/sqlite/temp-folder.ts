import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';

/** Makes an empty folder that is removed when the running test has finished; call it before what uses it. */
export function tempFolder(): string {
  const dir = mkdtempSync(join(tmpdir(), 'springhouse-'));
  onTestFinished(() => rmSync(dir, { recursive: true, force: true }));
  return dir;
}
