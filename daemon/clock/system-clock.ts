import { execFile } from 'node:child_process';
import { existsSync } from 'node:fs';

/** The clocks of the machine. */
export type SystemClock = {
  /** Epoch ms, as somebody or a time server has set it. */
  nowMs(): number;
  /** Milliseconds of a clock that nobody can set; not whole. */
  steadyMs(): number;
  /** Whether the machine says that its clock is set by a time server; false where it cannot say. */
  isSynchronised(): Promise<boolean>;
};

export const systemClock: SystemClock = {
  nowMs: Date.now,
  steadyMs: () => performance.now(),
  isSynchronised: async () => {
    if (existsSync('/run/systemd/timesync/synchronized')) return true;
    return new Promise((resolve) => {
      execFile(
        'timedatectl',
        ['show', '-p', 'NTPSynchronized', '--value'],
        { timeout: askMaxMs },
        (error, out) => resolve(error === null && out.trim() === 'yes'),
      );
    });
  },
};

/** How long the machine may take to say whether it is synchronised. */
const askMaxMs = 2_000;
