/** Learners that are only yardsticks: a Python program of this folder over rows of float32. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const python = '/usr/bin/python3';

/**
 * Runs a learner in a folder of its own with `args`, a file of rows to learn from, one of rows to answer and one
 * for its answers, one float32 a row, which are returned; throws where Python or scikit-learn is missing.
 */
export function runLearner(
  program: URL,
  of: { known: Float32Array; fresh: Float32Array; args: readonly string[] },
): Float32Array {
  const folder = mkdtempSync(join(tmpdir(), 'yardstick-'));
  try {
    const files = ['known', 'fresh', 'answers'].map((name) => join(folder, name)) as [string, string, string];
    writeFileSync(files[0], of.known);
    writeFileSync(files[1], of.fresh);
    const ran = spawnSync(python, [program.pathname, ...of.args, ...files], { encoding: 'utf8' });
    if (ran.status !== 0) {
      throw new Error(
        `YARDSTICK_LEARNER: ${python} must have scikit-learn, got ${ran.stderr.trim().split('\n').at(-1) ?? ran.error}. Install python3-sklearn.`,
      );
    }
    const bytes = readFileSync(files[2]);
    return new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length));
  } finally {
    rmSync(folder, { recursive: true });
  }
}
