/** The inputs that are no readings: people's words, starts of the house, turns of its clock. */
import type { Input } from '../../shared/contract/input.ts';
import type { Word } from '../../shared/contract/word.ts';
import type { IntakeWriter } from './intake-writer.ts';
import type { OneOrder } from './one-order.ts';
import type { Turning } from './turning.ts';

export type OtherInputs = {
  /** Commits a person's word and hands it on; `already` where its id was said before. */
  say(said: { wordId: string; by: string; word: Word }): Promise<{ inputSeq: number; already: boolean }>;
  /** Commits that the house listens again, and hands it on. */
  start(how: { release: string; aliveUntilMs: number | null; clean: boolean }): Promise<void>;
  /**
   * Commits a turn of the clock, which is in force already, and hands it on; tried until it is kept, or
   * given up where the intake is closed. `keepEras` is done first; nothing that came after the turn is
   * committed before it.
   */
  turnClock(turn: { deltaMs: number; known: boolean }, keepEras: () => Promise<void>): Promise<void>;
};

export type OtherInputsOptions = {
  writer: IntakeWriter;
  order: OneOrder;
  turning: Turning;
  clock: { nowMs(): number; known(): boolean };
  /** Resolves when the readings that wait are being committed, so that they stand before what came after them. */
  hurry: () => Promise<void>;
};

export function openOtherInputs({ writer, order, turning, clock, hurry }: OtherInputsOptions): OtherInputs {
  async function keep<T>(
    commit: (receivedMs: number) => Promise<T>,
    inputsOf: (kept: T, receivedMs: number) => Input[],
  ): Promise<T> {
    await turning.over();
    await hurry();
    const receivedMs = clock.nowMs();
    const underway = order.enter(receivedMs);
    try {
      const kept = await commit(receivedMs);
      order.handOn(underway, inputsOf(kept, receivedMs));
      return kept;
    } catch (error) {
      order.leave(underway);
      throw error;
    }
  }

  return {
    say: (said) =>
      keep(
        (receivedMs) => writer.commitWord({ ...said, receivedMs }),
        ({ already, inputSeq }, receivedMs) =>
          already ? [] : [{ inputSeq, receivedMs, kind: 'word', ...said }],
      ),
    start: async (how) => {
      const start = { ...how, known: clock.known() };
      await keep(
        (receivedMs) => writer.commitStart({ ...start, receivedMs }),
        ({ inputSeq }, receivedMs) => [{ inputSeq, receivedMs, kind: 'start', ...start }],
      );
    },
    turnClock: async (turn, keepEras) => {
      const receivedMs = clock.nowMs();
      // Until the turn is taken in, no time may pass beyond what the old clock showed.
      const underway = order.enter(Math.min(receivedMs, receivedMs - turn.deltaMs));
      const isKept = await turning.turn(async () => {
        await keepEras();
        const { inputSeq } = await writer.commitClock({ ...turn, receivedMs });
        order.handOn(underway, [{ inputSeq, receivedMs, kind: 'clock', ...turn }]);
      });
      if (!isKept) order.leave(underway);
    },
  };
}
