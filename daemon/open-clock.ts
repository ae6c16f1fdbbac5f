/** The clock with its eras: readings without a stamp belong to one, and eras can be learned. Wiring. */
import { type Clock, type ClockOptions, openClock, type RealTurn } from './clock/clock.ts';
import type { Writer } from './writer.ts';

/** The daemon's time, with the era that receipt stamps belong to now. */
export type EraClock = Omit<Clock, 'follow'> & {
  era(): number;
  /**
   * Takes turns from now on. `onTurn` is called at each with the new time already in force; its `keepEras`
   * keeps what the turn means for the eras and must be done before any reading is kept again. Where that
   * rejects it may be called again.
   */
  follow(onTurn: (turn: { deltaMs: number; known: boolean }, keepEras: () => Promise<void>) => void): void;
};

export type EraClockOptions = ClockOptions & { writer: Pick<Writer, 'openEra' | 'learnEra'> };

/**
 * Opens the clock and this run's first era. Where the time becomes known, every era of this run learns its
 * offset, since one steady clock runs through all of them; where the offset changes, a new era begins.
 */
export async function openEraClock({ writer, ...options }: EraClockOptions): Promise<EraClock> {
  const clock = await openClock(options);
  let era = 0;
  let unknownEras: number[] = [];

  async function begin(): Promise<void> {
    const known = clock.known();
    era = await writer.openEra({ offsetMs: clock.offsetMs(), known, startedMs: clock.nowMs() });
    if (!known) unknownEras.push(era);
  }

  async function keepEras(turn: RealTurn): Promise<void> {
    if (turn.is === 'learned') {
      for (const each of unknownEras) {
        await writer.learnEra({ era: each, offsetMs: turn.state.offsetMs, known: true });
      }
      unknownEras = [];
    }
    if (turn.deltaMs !== 0) await begin();
  }

  await begin();
  return {
    ...clock,
    era: () => era,
    follow: (onTurn) =>
      clock.follow((turn) =>
        onTurn({ deltaMs: turn.deltaMs, known: turn.state.known }, () => keepEras(turn)),
      ),
  };
}
