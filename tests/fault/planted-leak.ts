/** A planted fault, loaded before the daemon: its main thread keeps a little memory each second and never lets it go. */
import { isMainThread } from 'node:worker_threads';

const kept: string[][] = [];

if (isMainThread) {
  // A fifth of a megabyte a second: 12 MB a minute.
  setInterval(
    () =>
      kept.push(
        Array.from({ length: 2_000 }, (_, index) => `${index} ${performance.now()} ${'x'.repeat(40)}`),
      ),
    1_000,
  ).unref();
}
