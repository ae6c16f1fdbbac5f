/** Typed calls to a worker thread: kept in order, answered one by one, refused once the thread is gone. */
import { parentPort, type ResourceLimits, Worker } from 'node:worker_threads';
import { DiskFault, type DiskFaultCode, diskFaultCodes } from './disk-fault.ts';

/** What a thread can be asked; each answer is plain data and ready when the function returns. */
export type Calls = Record<string, (...args: never[]) => unknown>;

/** The main side of a thread. */
export type Thread<C extends Calls> = {
  /**
   * Asks, after all that was asked before. Rejects with what the call threw, with `THREAD_GONE` once the
   * thread has ended, and with `THREAD_FULL` while `openCallsMax` calls are open.
   */
  call<K extends keyof C & string>(name: K, ...args: Parameters<C[K]>): Promise<ReturnType<C[K]>>;
  /** Lets the calls made so far finish, then ends the thread; resolves when it has ended. Safe to call twice. */
  close(): Promise<void>;
};

/** The most calls that may wait for an answer at once; the next one is refused. */
export const openCallsMax = 10_000;

type Ask = { id: number; name: string; args: unknown[] };
type Answer = { id: number; value: unknown } | { id: number; fault: Fault };
type Fault = { code: string | null; message: string; stack: string | undefined };
type Open = { resolve: (value: never) => void; reject: (error: Error) => void };

/** The call by which `close` ends a thread; not one that a caller can name by type. */
const closing = 'close thread';

/** Returns the address of a worker's entry beside `base` (an `import.meta.url`), as source or as built. */
export function workerUrl(stem: string, base: string): URL {
  return new URL(`${stem}${base.endsWith('.ts') ? '.ts' : '.js'}`, base);
}

/** Starts a thread on `url`; `onGone` is called once if it ends without `close`. Beyond its memory limits it ends. */
export function openThread<C extends Calls>(
  url: URL,
  onGone?: (error: Error) => void,
  resourceLimits: ResourceLimits = {},
): Thread<C> {
  const worker = new Worker(url, { resourceLimits });
  const open = new Map<number, Open>();
  let lastId = 0;
  let gone: Error | null = null;
  let closed: Promise<void> | null = null;
  const exited = new Promise<void>((resolve) => worker.once('exit', () => resolve()));

  const end = (error: Error) => {
    if (gone !== null) return;
    gone = error;
    for (const { reject } of open.values()) reject(error);
    open.clear();
    if (closed === null) onGone?.(error);
  };
  worker.on('message', (answer: Answer) => {
    settle(open.get(answer.id), answer);
    open.delete(answer.id);
  });
  worker.once('error', (error) => end(threadGone(url, error)));
  worker.once('exit', (exitCode) => end(threadGone(url, new Error(`exit code ${exitCode}`))));

  const ask = (name: string, args: unknown[]): Promise<never> =>
    new Promise((resolve, reject) => {
      if (gone !== null) return reject(gone);
      if (open.size >= openCallsMax && name !== closing) return reject(threadFull(url));
      const id = ++lastId;
      worker.postMessage({ id, name, args } satisfies Ask);
      open.set(id, { resolve, reject });
    });

  return {
    call: (name, ...args) => ask(name, args),
    close: () => {
      closed ??= ask(closing, []).then(
        () => exited,
        async (error) => {
          await exited;
          if (error !== gone) throw error;
        },
      );
      return closed;
    },
  };
}

/** Answers the main side from within the thread; `close` is run last, and the thread then ends by itself. */
export function serveThread<C extends Calls>(calls: C, close: () => void): void {
  const port = parentPort;
  if (port === null) throw new Error('serveThread must be called in a worker thread, got the main thread.');
  port.on('message', ({ id, name, args }: Ask) => {
    try {
      if (name === closing) close();
      const value = name === closing ? undefined : calls[name]?.(...(args as never[]));
      port.postMessage({ id, value } satisfies Answer);
    } catch (error) {
      port.postMessage({ id, fault: packFault(error) } satisfies Answer);
    }
    if (name === closing) port.close();
  });
}

function settle(open: Open | undefined, answer: Answer): void {
  if ('fault' in answer) open?.reject(unpackFault(answer.fault));
  else open?.resolve(answer.value as never);
}

/** Errors lose their code when they cross threads, so what callers decide by travels as plain data. */
function packFault(error: unknown): Fault {
  if (!(error instanceof Error)) return { code: null, message: String(error), stack: undefined };
  return { code: error instanceof DiskFault ? error.code : null, message: error.message, stack: error.stack };
}

function unpackFault({ code, message, stack }: Fault): Error {
  const known = diskFaultCodes.find((each) => each === code);
  const error =
    known === undefined ? new Error(message) : new DiskFault(known, message.slice(known.length + 2));
  if (stack !== undefined) error.stack = stack;
  return error;
}

function threadGone(url: URL, error: Error): DiskFault {
  const fault = fileFault(
    'THREAD_GONE',
    url,
    'running',
    `its end (${error.message})`,
    'Start the daemon again.',
  );
  fault.cause = error;
  return fault;
}

function threadFull(url: URL): DiskFault {
  return fileFault(
    'THREAD_FULL',
    url,
    `asked at most ${openCallsMax} calls at once`,
    'one more',
    'Wait for answers.',
  );
}

function fileFault(code: DiskFaultCode, url: URL, rule: string, found: string, then: string): DiskFault {
  const file = url.pathname.slice(url.pathname.lastIndexOf('/') + 1);
  return new DiskFault(code, `the thread ${file} must be ${rule}, got ${found}. ${then}`);
}
