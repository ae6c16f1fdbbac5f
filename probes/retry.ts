/** Trying again after growing waits: one schedule for lines that were unplugged and brokers that went away. */

/** The waits between tries: the first one, doubled each time, up to the longest. */
export type RetryWaits = { firstMs: number; longestMs: number };

/** The waits of a wire where nothing else is set: at once for a hiccup, twice a minute for a long absence. */
export const usualWaits: RetryWaits = { firstMs: 500, longestMs: 30_000 };

/** A schedule of tries, at most one waiting at a time. */
export type Retry = {
  /** Runs `attempt` after the next wait and returns that wait in ms; nothing runs after `stop`. */
  later(attempt: () => void): number;
  /** Makes the next wait the first one again. */
  reset(): void;
  /** Drops the try that waits and all later ones. */
  stop(): void;
};

/** Returns a schedule that begins with the first wait. */
export function createRetry({ firstMs, longestMs }: RetryWaits): Retry {
  let nextMs = firstMs;
  let isStopped = false;
  let timer: NodeJS.Timeout | undefined;
  return {
    later(attempt) {
      const waitMs = nextMs;
      nextMs = Math.min(nextMs * 2, longestMs);
      clearTimeout(timer);
      if (!isStopped) timer = setTimeout(attempt, waitMs);
      return waitMs;
    },
    reset() {
      nextMs = firstMs;
    },
    stop() {
      isStopped = true;
      clearTimeout(timer);
    },
  };
}

/** Returns a wait in words for a state's reason: `again in 0.5 s`. */
export function againIn(waitMs: number): string {
  return `again in ${waitMs / 1000} s`;
}
