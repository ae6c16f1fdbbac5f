/** The clock with its eras: readings without a stamp belong to one, and eras can be learned. Wiring. */
import { type Clock, openClock } from './clock/clock.ts';
import type { ClockTurn } from './clock/decide-clock.ts';
import type { Writer } from './writer.ts';

type Turn = Exclude<ClockTurn, { is: 'none' }>;

/** The daemon's time, with the era that receipt stamps belong to now. */
export type EraClock = Clock & { era(): number };

export type EraClockOptions = {
  writer: Pick<Writer, 'openEra' | 'learnEra'>;
  trust: 'synchronised' | 'always';
  /**
   * Called at each turn, with the new time already in force; `keepEras` keeps what the turn means for the
   * eras and must be done before any reading is kept again.
   */
  onTurn: (turn: { deltaMs: number; known: boolean }, keepEras: () => Promise<void>) => void;
};

/**
 * Opens the clock and this run's first era. Where the time becomes known, every era of this run learns its
 * offset, since one steady clock runs through all of them; where somebody sets the clock, a new era begins.
 */
export async function openEraClock(options: EraClockOptions): Promise<EraClock> {
  const { writer, onTurn } = options;
  let era = 0;
  const unknownEras: number[] = [];
  const clock = await openClock({
    trust: options.trust,
    onTurn: (turn) => onTurn({ deltaMs: turn.deltaMs, known: turn.state.known }, () => keepEras(turn)),
  });
  async function begin(): Promise<void> {
    era = await writer.openEra({
      offsetMs: clock.offsetMs(),
      known: clock.known(),
      startedMs: clock.nowMs(),
    });
    if (!clock.known()) unknownEras.push(era);
  }
  async function keepEras(turn: Turn): Promise<void> {
    if (turn.is === 'stepped') return begin();
    for (const each of unknownEras.splice(0)) {
      await writer.learnEra({ era: each, offsetMs: turn.state.offsetMs, known: true });
    }
  }
  await begin();
  return { ...clock, era: () => era };
}
