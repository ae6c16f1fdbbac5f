/** A wait that can be ended from outside, once and for all. */
export type Pause = {
  /** Resolves after so long, or at once where the pauses are over. */
  for(spanMs: number): Promise<void>;
  end(): void;
  readonly isOver: boolean;
};

export function openPause(): Pause {
  let isOver = false;
  let wake: (() => void) | null = null;
  return {
    for: (spanMs) =>
      new Promise((resolve) => {
        if (isOver) return resolve();
        const timer = setTimeout(resolve, spanMs);
        wake = () => {
          clearTimeout(timer);
          resolve();
        };
      }),
    end: () => {
      isOver = true;
      wake?.();
    },
    get isOver() {
      return isOver;
    },
  };
}
