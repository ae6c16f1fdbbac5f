/**
 * Loaded into a daemon before its program (`node --import`), and so into each of its threads: notes the memory of each
 * once a second, a JSON line at the end of the file that `SPRINGHOUSE_PROOF_MEMORY` names.
 */
import { appendFileSync } from 'node:fs';
import { threadId } from 'node:worker_threads';

/** One look; bytes. `rss` is that of the whole process. */
export type MemoryNote = {
  thread: number;
  rss: number;
  heapUsed: number;
  heapTotal: number;
  external: number;
  arrayBuffers: number;
};

const file = process.env.SPRINGHOUSE_PROOF_MEMORY;
if (file !== undefined) {
  const timer = setInterval(() => {
    const note: MemoryNote = { thread: threadId, ...process.memoryUsage() };
    appendFileSync(file, `${JSON.stringify(note)}\n`);
  }, 1_000);
  timer.unref();
}
