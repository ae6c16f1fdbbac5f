import { describe, expect, it, onTestFinished } from 'vitest';
import { DiskFault } from '../../../daemon/sqlite/disk-fault.ts';
import { openCallsMax, openThread, type Thread, workerUrl } from '../../../daemon/sqlite/thread.ts';
import type { EchoCalls } from './echo-worker.ts';

function openEcho(onGone?: (error: Error) => void): Thread<EchoCalls> {
  const thread = openThread<EchoCalls>(workerUrl('./echo-worker', import.meta.url), onGone);
  onTestFinished(() => thread.close());
  return thread;
}

describe('a thread', () => {
  it('answers calls in the order in which they were made', async () => {
    const thread = openEcho();
    const words = ['bramble', 'sorrel', 'teasel', 'plum'];
    expect(await Promise.all(words.map((word) => thread.call('echo', word)))).toEqual(words);
    expect(await thread.call('heard')).toEqual(words);
  });

  it('rejects with the fault and its code, and goes on', async () => {
    const thread = openEcho();
    await expect(thread.call('refuse')).rejects.toEqual(
      new DiskFault('DISK_FULL', 'the jar must have room, got milk. Pour some out.'),
    );
    await expect(thread.call('refuse')).rejects.toMatchObject({ code: 'DISK_FULL' });
    await expect(thread.call('bug')).rejects.toThrow('a bug');
    expect(await thread.call('echo', 'still here')).toBe('still here');
  });

  it('finishes the calls made so far before it ends, and ends once', async () => {
    const thread = openEcho();
    const asked = Promise.all([thread.call('echo', 'first'), thread.call('echo', 'second')]);
    await Promise.all([thread.close(), thread.close()]);
    expect(await asked).toEqual(['first', 'second']);
    await expect(thread.call('echo', 'late')).rejects.toMatchObject({ code: 'THREAD_GONE' });
  });

  it('rejects open and later calls where the thread crashes, and says so once', async () => {
    const gone: Error[] = [];
    const thread = openEcho((error) => gone.push(error));
    const crash = thread.call('crash').catch(() => undefined);
    await expect(thread.call('echo', 'open')).rejects.toMatchObject({
      code: 'THREAD_GONE',
      message:
        'THREAD_GONE: the thread echo-worker.ts must be running, got its end (a crash). Start the daemon again.',
    });
    await expect(thread.call('echo', 'later')).rejects.toMatchObject({ code: 'THREAD_GONE' });
    await Promise.all([crash, thread.close()]);
    expect(gone.map(({ message }) => message)).toEqual([
      'THREAD_GONE: the thread echo-worker.ts must be running, got its end (a crash). Start the daemon again.',
    ]);
  });

  it('refuses a call above the most that may be open, and takes it once there is room', async () => {
    const thread = openEcho();
    const open = Array.from({ length: openCallsMax }, (_, index) => thread.call('echo', String(index)));
    await expect(thread.call('echo', 'one more')).rejects.toMatchObject({ code: 'THREAD_FULL' });
    await Promise.all(open);
    expect(await thread.call('echo', 'one more')).toBe('one more');
  });

  it('is found beside its caller as source and as built', () => {
    expect(workerUrl('./writer-worker', 'file:///home/a/daemon/writer.ts').href).toBe(
      'file:///home/a/daemon/writer-worker.ts',
    );
    expect(workerUrl('./writer-worker', 'file:///home/a/dist/daemon/writer.js').href).toBe(
      'file:///home/a/dist/daemon/writer-worker.js',
    );
  });
});
