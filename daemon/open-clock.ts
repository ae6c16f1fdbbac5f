/** The clock with its eras: every turn of it is kept as an input, and eras are learned. Wiring. */
import { type Clock, openClock } from './clock/clock.ts';
import type { Writer } from './writer.ts';

/** The daemon's time, with the era that receipt stamps belong to now. */
export type EraClock = Clock & { era(): number };

export type EraClockOptions = {
  writer: Pick<Writer, 'openEra' | 'learnEra'>;
  trust: 'synchronised' | 'always';
  /** Called for each turn, in order, once its eras are kept. */
  onTurn: (turn: { deltaMs: number; known: boolean }) => void;
  onTrouble: (error: Error) => void;
};

/**
 * Opens the clock and this run's first era. Where the time becomes known, every era of this run learns its
 * offset, since one steady clock runs through all of them; where somebody sets a known clock, a new era begins.
 */
export async function openEraClock(options: EraClockOptions): Promise<EraClock> {
  const { writer } = options;
  let era = 0;
  const unknownEras: number[] = [];
  let turning: Promise<void> = Promise.resolve();
  const clock = await openClock({
    trust: options.trust,
    onTurn: (turn) => {
      const { deltaMs, state } = turn;
      turning = turning
        .then(async () => {
          if (turn.is === 'learned') {
            for (const each of unknownEras.splice(0)) {
              await writer.learnEra({ era: each, offsetMs: state.offsetMs, known: true });
            }
          } else {
            await begin();
          }
          options.onTurn({ deltaMs, known: state.known });
        })
        .catch((error: Error) => options.onTrouble(error));
    },
  });
  async function begin(): Promise<void> {
    era = await writer.openEra({
      offsetMs: clock.offsetMs(),
      known: clock.known(),
      startedMs: clock.nowMs(),
    });
    if (!clock.known()) unknownEras.push(era);
  }
  await begin();
  return { ...clock, era: () => era };
}
