export type TurningOptions = {
  /** Nothing is committed between these two. */
  pause: () => void;
  resume: () => void;
  /** Called when a turn could not be kept, and with null when it was. */
  onTrouble: (error: Error | null) => void;
  /** How long after a turn could not be kept it is tried again. */
  retryMs: number;
};

/** Turns of the clock, one at a time, each tried until it is kept. */
export type Turning = {
  /** Calls `keep` until it resolves; false where it rejects and the turning is closed. */
  turn(keep: () => Promise<void>): Promise<boolean>;
  /** Resolves when no turn is underway. */
  over(): Promise<unknown>;
  /** A turn that cannot be kept is given up after the next try. */
  close(): void;
};

/** Opens the turning; what it paused goes on when the last turn is over. */
export function openTurning({ pause, resume, onTrouble, retryMs }: TurningOptions): Turning {
  let last: Promise<boolean> = Promise.resolve(true);
  let closed = false;
  let hurry = (): void => {};

  async function insist(keep: () => Promise<void>): Promise<boolean> {
    for (;;) {
      const failed = await keep().then(
        () => null,
        (error: unknown) => (error instanceof Error ? error : new Error(String(error))),
      );
      onTrouble(failed);
      if (failed === null || closed) return failed === null;
      await new Promise<void>((resolve) => {
        const timer = setTimeout(resolve, retryMs);
        hurry = () => {
          clearTimeout(timer);
          resolve();
        };
      });
    }
  }

  return {
    turn: (keep) => {
      pause();
      last = last.then(() => insist(keep)).finally(resume);
      return last;
    },
    over: () => last,
    close: () => {
      closed = true;
      hurry();
    },
  };
}
