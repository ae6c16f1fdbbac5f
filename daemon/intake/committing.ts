import type { Queue, Waiting } from './queue.ts';

/** Readings in one commit; more wait for the next. */
export const commitMax = 2_000;
/** How long after a failed commit the next is tried. */
export const retryMsUsual = 1_000;

/** Commits what waits, a group at a time, and again after a while where that fails. */
export type Committing = {
  /** Something waits: a group is committed within `spanMs`, sooner where something else waits less long. */
  wake(spanMs: number): void;
  /** Commits what waits now soon; resolves when that has begun, at once where it cannot. */
  hurry(): Promise<void>;
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
  /** When the next group is due, and before when none is tried, on the process's steady clock. */
  let dueMs = Infinity;
  let notBeforeMs = 0;
  let busy = false;
  let paused = 0;
  let onIdle: (() => void) | null = null;
  const hurried: (() => void)[] = [];

  const setTimer = (): void => {
    if (busy || paused > 0 || dueMs === Infinity) return;
    if (timer !== null) clearTimeout(timer);
    timer = setTimeout(fire, Math.max(0, Math.max(dueMs, notBeforeMs) - performance.now()));
  };
  const fire = (): void => {
    timer = null;
    if (paused === 0) void next();
  };

  async function next(): Promise<void> {
    busy = true;
    dueMs = Infinity;
    const group = queue.take(commitMax);
    if (queue.size > 0) dueMs = 0;
    const committed = commit(group).then(
      () => false,
      () => true,
    );
    begun();
    const failed = await committed;
    busy = false;
    // Who hurries does not wait for a disk that refuses.
    if (failed) begun();
    notBeforeMs = failed ? performance.now() + retryMs : 0;
    if (queue.size > 0 && (onIdle === null || !failed)) {
      if (failed || onIdle !== null) dueMs = 0;
      setTimer();
    } else onIdle?.();
  }

  function begun(): void {
    for (const resolve of hurried.splice(0)) resolve();
  }

  return {
    wake: (spanMs) => {
      const atMs = performance.now() + spanMs;
      if (atMs >= dueMs) return;
      dueMs = atMs;
      setTimer();
    },
    hurry: () => {
      if (paused > 0 || queue.size === 0 || performance.now() < notBeforeMs) return Promise.resolve();
      if (busy) {
        dueMs = 0;
        return new Promise((resolve) => hurried.push(resolve));
      }
      if (timer !== null) clearTimeout(timer);
      timer = null;
      void next();
      return Promise.resolve();
    },
    pause: () => {
      paused += 1;
    },
    resume: () => {
      paused -= 1;
      if (queue.size === 0) return;
      dueMs = 0;
      setTimer();
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
