import type { Queue, Waiting } from './queue.ts';

/** Readings in one commit; more wait for the next. */
export const commitMax = 2_000;
/** How long the first reading of a group waits for others. */
const gatherMs = 1;
/** How long after a failed commit the next is tried. */
export const retryMsUsual = 1_000;

/** Commits what waits, a group at a time, and again after a while where that fails. */
export type Committing = {
  /** Something waits: a group is committed soon. */
  wake(): void;
  /** No group is begun until `resume`; may be called several times, each with its own `resume`. */
  pause(): void;
  resume(): void;
  /** Commits what waits now and resolves when that is done, or has failed once more. */
  finish(): Promise<void>;
};

/** `commit` takes a group and rejects where it must be tried again; it has put back by then what is to wait. */
export function openCommitting(
  queue: Queue,
  commit: (group: Waiting[]) => Promise<void>,
  retryMs = retryMsUsual,
): Committing {
  let timer: NodeJS.Timeout | null = null;
  let busy = false;
  let paused = 0;
  let onIdle: (() => void) | null = null;

  const schedule = (delayMs: number): void => {
    if (timer !== null || busy || paused > 0) return;
    timer = setTimeout(() => {
      timer = null;
      if (paused === 0) void next();
    }, delayMs);
  };

  async function next(): Promise<void> {
    busy = true;
    const failed = await commit(queue.take(commitMax)).then(
      () => false,
      () => true,
    );
    busy = false;
    if (queue.size > 0 && !(failed && onIdle !== null)) schedule(failed ? retryMs : 0);
    else onIdle?.();
  }

  return {
    wake: () => schedule(gatherMs),
    pause: () => {
      paused += 1;
    },
    resume: () => {
      paused -= 1;
      if (queue.size > 0) schedule(0);
    },
    finish: () => {
      if (!busy && queue.size === 0) return Promise.resolve();
      return new Promise((resolve) => {
        onIdle = resolve;
        if (timer === null || paused > 0) return;
        clearTimeout(timer);
        timer = null;
        void next();
      });
    },
  };
}
