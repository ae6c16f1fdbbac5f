/** The entry of a thread that the tests of threads talk to. */
import { DiskFault } from '../../../daemon/sqlite/disk-fault.ts';
import { serveThread } from '../../../daemon/sqlite/thread.ts';

export type EchoCalls = {
  echo(value: string): string;
  heard(): string[];
  refuse(): never;
  bug(): never;
  crash(): void;
};

const heard: string[] = [];

serveThread<EchoCalls>(
  {
    echo: (value) => {
      heard.push(value);
      return value;
    },
    heard: () => heard,
    refuse: () => {
      throw new DiskFault('DISK_FULL', 'the jar must have room, got milk. Pour some out.');
    },
    bug: () => {
      throw new TypeError('a bug');
    },
    crash: () => {
      // Before the next call is taken, so that the test knows which one stays without an answer.
      process.nextTick(() => {
        throw new Error('a crash');
      });
    },
  },
  () => {},
);
