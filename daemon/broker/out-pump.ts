import { outQueue } from './out-queue.ts';
import type { OutMessage } from './out-topics.ts';

/** Hands one message to a broker and calls back once, when it has left or with why it can't; then it waits again. */
export type Send = (message: OutMessage, done: (error?: Error | null) => void) => void;

/** Moves messages from a queue to a broker while the way is open. */
export type OutPump = {
  publish(message: OutMessage): void;
  /** Says whether the broker can be reached; at first it can't. */
  setOpen(isOpen: boolean): void;
  /** Resolves true once nothing waits and nothing is leaving, or false after `spanMs`. */
  empty(spanMs: number): Promise<boolean>;
  /** Drops what waits and all that comes later. */
  stop(): void;
  dropped(): number;
};

/** Returns a pump that is not open yet. At most `leavingMax` messages leave at once; more wait in the queue. */
export function outPump(send: Send, leavingMax: number): OutPump {
  const queue = outQueue();
  let leaving = 0;
  let lost = 0;
  let isOpen = false;
  let isStopped = false;
  let onEmpty = () => {};
  const pump = () => {
    let isFailing = false;
    while (isOpen && !isFailing && leaving < leavingMax) {
      const message = queue.take();
      if (!message) break;
      leaving += 1;
      send(message, (error) => {
        leaving -= 1;
        if (!error) return pump();
        // Not tried again at once, or a way that fails at once would be tried for ever.
        isFailing = true;
        if (isStopped) lost += 1;
        else queue.putBack(message);
      });
    }
    if (leaving === 0 && queue.size() === 0) onEmpty();
  };
  return {
    publish(message) {
      if (isStopped) lost += 1;
      else queue.put(message);
      pump();
    },
    setOpen(isNowOpen) {
      isOpen = isNowOpen && !isStopped;
      pump();
    },
    empty: (spanMs) =>
      new Promise((resolve) => {
        const timer = setTimeout(resolve, spanMs, false);
        onEmpty = () => {
          clearTimeout(timer);
          resolve(true);
        };
        pump();
      }),
    stop() {
      isStopped = true;
      isOpen = false;
      lost += queue.size();
    },
    dropped: () => queue.dropped() + lost,
  };
}
