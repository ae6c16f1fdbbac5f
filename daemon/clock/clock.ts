import { beginClock, type ClockLook, type ClockTurn, decideClock } from './decide-clock.ts';
import { type SystemClock, systemClock } from './system-clock.ts';

/** The daemon's time. All calls are cheap. */
export type Clock = {
  /** Whole milliseconds of a clock that nobody can set. */
  steadyMs(): number;
  /** UTC as far as it is known, epoch ms: the steady clock plus the offset in force. */
  nowMs(): number;
  known(): boolean;
  offsetMs(): number;
  /**
   * Looks at the system's clock from now on; what turned before is found at the first look. `onTurn` is
   * called after the clock has taken a turn, with the new offset already in force. Called once.
   */
  follow(onTurn: (turn: RealTurn) => void): void;
  close(): void;
};

/** A turn that changes something. */
export type RealTurn = Exclude<ClockTurn, { is: 'none' }>;

export type ClockOptions = {
  /** `always` takes the system's clock as known; `synchronised` waits until the system says that it is. */
  trust: 'synchronised' | 'always';
  /** Up to when there are readings, epoch ms: a time that is not known begins no earlier. Null or absent for none. */
  notBeforeMs?: number | null;
  system?: SystemClock;
  /** How often the system's clock is looked at. */
  everyMs?: number;
};

/** How often the system's clock is looked at. */
const everyMsUsual = 1_000;
/** The system is asked anew whether it is synchronised after this many looks. */
const askEvery = 10;

/** Opens the clock with the system's time; it takes no turn until it is told to follow. */
export async function openClock(options: ClockOptions): Promise<Clock> {
  const { trust, system = systemClock, everyMs = everyMsUsual } = options;
  const steadyMs = () => Math.round(system.steadyMs());
  let synchronised = trust === 'always' || (await system.isSynchronised());
  const lookNow = (): ClockLook => ({
    systemMs: system.nowMs(),
    steadyMs: system.steadyMs(),
    synchronised,
  });
  let state = beginClock(lookNow(), options.notBeforeMs ?? null);
  let timer: NodeJS.Timeout | null = null;

  function look(): ClockTurn {
    const turn = decideClock(state, lookNow());
    if (turn.is !== 'none') state = turn.state;
    return turn;
  }

  async function ask(): Promise<void> {
    synchronised = await system.isSynchronised();
  }

  return {
    steadyMs,
    nowMs: () => steadyMs() + state.offsetMs,
    known: () => state.known,
    offsetMs: () => state.offsetMs,
    follow: (onTurn) => {
      let looks = 0;
      timer = setInterval(() => {
        looks += 1;
        if (!synchronised && looks % askEvery === 0) void ask();
        const turn = look();
        if (turn.is !== 'none') onTurn(turn);
      }, everyMs);
    },
    close: () => {
      if (timer !== null) clearInterval(timer);
    },
  };
}
