import { execFile } from 'node:child_process';
import { existsSync } from 'node:fs';
import { type ClockState, type ClockTurn, decideClock } from './decide-clock.ts';

/** The daemon's time. All calls are cheap. */
export type Clock = {
  /** Whole milliseconds of a clock that nobody can set. */
  steadyMs(): number;
  /** UTC as far as it is known, epoch ms: the steady clock plus the offset in force. */
  nowMs(): number;
  known(): boolean;
  offsetMs(): number;
  close(): void;
};

export type ClockOptions = {
  /** `always` takes the system's clock as known; `synchronised` waits until the system says that it is. */
  trust: 'synchronised' | 'always';
  /** Called after the clock has taken a turn, with the new offset already in force. */
  onTurn: (turn: Exclude<ClockTurn, { is: 'none' }>) => void;
  /** How often the system's clock is looked at. */
  everyMs?: number;
};

/** Opens the clock and looks at the system's every second until closed. */
export async function openClock(options: ClockOptions): Promise<Clock> {
  const steadyMs = () => Math.round(performance.now());
  let synchronised = options.trust === 'always' || (await isSynchronised());
  let state: ClockState = { offsetMs: Math.round(Date.now() - performance.now()), known: synchronised };
  let looks = 0;
  const timer = setInterval(() => {
    looks += 1;
    if (!synchronised && looks % askEvery === 0) {
      void isSynchronised().then((is) => {
        synchronised = is;
      });
    }
    const turn = decideClock(state, { systemMs: Date.now(), steadyMs: performance.now(), synchronised });
    if (turn.is === 'none') return;
    state = turn.state;
    options.onTurn(turn);
  }, options.everyMs ?? 1_000);
  return {
    steadyMs,
    nowMs: () => steadyMs() + state.offsetMs,
    known: () => state.known,
    offsetMs: () => state.offsetMs,
    close: () => clearInterval(timer),
  };
}

/** The system is asked anew after this many looks. */
const askEvery = 10;

/** Asks the system whether its clock is synchronised; false where it cannot say. */
async function isSynchronised(): Promise<boolean> {
  if (existsSync('/run/systemd/timesync/synchronized')) return true;
  return new Promise((resolve) => {
    execFile('timedatectl', ['show', '-p', 'NTPSynchronized', '--value'], { timeout: 2_000 }, (error, out) =>
      resolve(error === null && out.trim() === 'yes'),
    );
  });
}
