/** Work on the jars of a population in two worker threads, since the machine has two cores. */
import { Worker } from 'node:worker_threads';

/** Runs a worker file on each half of `jars`, with `from` and `to` beside `of`; its one message each is returned. */
export function inTwoThreads<T>(file: URL, of: { jars: number } & Record<string, unknown>): Promise<[T, T]> {
  const middle = of.jars >> 1;
  return Promise.all([
    inThread<T>(file, { ...of, from: 0, to: middle }),
    inThread<T>(file, { ...of, from: middle, to: of.jars }),
  ]);
}

function inThread<T>(file: URL, workerData: object): Promise<T> {
  return new Promise((resolve, reject) => {
    const worker = new Worker(file, { workerData });
    worker.once('message', resolve);
    worker.once('error', reject);
  });
}
