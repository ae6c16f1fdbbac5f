/**
 * Where all wires meet: readings wait in their probe's line, are committed in groups and only then
 * acknowledged and handed on, numbered, in one order with people's words and the clock's steps.
 */
import type { SourceSink, SourceState } from '../../probes/source.ts';
import type { Input } from '../../shared/contract/input.ts';
import type { Word } from '../../shared/contract/word.ts';
import { acceptReadings } from './accept.ts';
import { openCommitting } from './committing.ts';
import { type Counts, openCounts } from './counts.ts';
import { itemOf, settleGroup } from './group.ts';
import type { IntakeWriter } from './intake-writer.ts';
import { openOneOrder } from './one-order.ts';
import { type OpenOffer, openQueue, type Waiting } from './queue.ts';

export type IntakeOptions = {
  writer: IntakeWriter;
  /** The daemon's time and the era that receipt stamps belong to. */
  clock: { nowMs(): number; steadyMs(): number; known(): boolean; era(): number };
  /**
   * Called with committed inputs in the order of their numbers; must not throw. The next group is handed on
   * only when this one is done with.
   */
  onInputs: (inputs: Input[]) => Promise<void>;
  /** Called when a commit of readings failed, and with null when one succeeded again. */
  onTrouble: (error: Error | null) => void;
  /** Says why this wire's readings of this probe are not taken; null where they are. */
  refusalOf?: (probe: string, source: string) => string | null;
  /** Marks every reading as simulated. */
  simulated: boolean;
};

export type Intake = SourceSink & {
  /** Commits a person's word and hands it on; `already` where its id was said before. */
  say(said: { wordId: string; by: string; word: Word }): Promise<{ inputSeq: number; already: boolean }>;
  /** Commits that the house listens again, and hands it on. */
  start(how: { release: string; aliveUntilMs: number | null; clean: boolean }): Promise<void>;
  /**
   * Commits a turn of the clock, which is in force already, and hands it on. `keepEras` is done first; no
   * reading is committed meanwhile.
   */
  turnClock(turn: { deltaMs: number; known: boolean }, keepEras: () => Promise<void>): Promise<void>;
  /** Before this instant no input can come any more: ticks up to it may be fed. */
  settledMs(): number;
  counts: Counts;
  sources(): ReadonlyMap<string, SourceState>;
  readonly pending: number;
  /** Takes nothing more, commits what waits, and leaves unsettled what could not be. */
  close(): Promise<void>;
};

/** Opens the intake; it commits to `writer` until closed. */
export function openIntake(options: IntakeOptions): Intake {
  const { writer, clock, onInputs, onTrouble, simulated, refusalOf = () => null } = options;
  const queue = openQueue();
  const counts = openCounts();
  const sources = new Map<string, SourceState>();
  const order = openOneOrder(onInputs);
  const committing = openCommitting(queue, commitGroup);
  let closed = false;

  async function commitGroup(group: Waiting[]): Promise<void> {
    const before = order.watched();
    const underway = order.enter(Math.min(...group.map(({ receivedMs }) => receivedMs)));
    try {
      const items = group.map((waiting) => itemOf(waiting, { era: clock.era(), simulated }));
      order.handOn(underway, settleGroup(group, await writer.commitReadings(items), counts));
    } catch (error) {
      order.leave(underway);
      failGroup(group, error instanceof Error ? error : new Error(String(error)));
      throw error;
    }
    onTrouble(null);
    // One group may be watched while the next is committed, no more.
    await before;
  }

  function failGroup(group: readonly Waiting[], error: Error): void {
    onTrouble(error);
    // Who can send again is told to; what nobody can send again waits for the next try.
    for (const { offer } of group) if (offer.canResend) offer.fail(error);
    queue.putBack(group.filter(({ offer }) => !offer.canResend));
  }

  /** Commits one input that is no reading and hands on what it became. */
  async function keep<T>(receivedMs: number, commit: Promise<T>, inputsOf: (kept: T) => Input[]): Promise<T> {
    const underway = order.enter(receivedMs);
    try {
      const kept = await commit;
      order.handOn(underway, inputsOf(kept));
      return kept;
    } catch (error) {
      order.leave(underway);
      throw error;
    }
  }

  return {
    counts,
    sources: () => sources,
    get pending() {
      return queue.size;
    },
    tell: (source, state) => {
      sources.set(source, state);
    },
    take: (offer) => {
      if (closed) return new Promise(() => {});
      const receivedMs = clock.nowMs();
      const rules = { nowMs: receivedMs, clockKnown: clock.known(), waitingOf: queue.lengthOf, refusalOf };
      const { taken, refused } = acceptReadings(offer, rules);
      for (const refusal of [...offer.refusals, ...refused]) counts.refuse(refusal);
      if (taken.length === 0) return Promise.resolve();
      return new Promise((settle, fail) => {
        const open: OpenOffer = { left: taken.length, canResend: offer.canResend, settle, fail };
        const steadyMs = clock.steadyMs();
        for (const reading of taken) queue.push({ reading, receivedMs, steadyMs, offer: open });
        committing.wake();
      });
    },
    say: (said) => {
      const receivedMs = clock.nowMs();
      return keep(receivedMs, writer.commitWord({ ...said, receivedMs }), ({ already, inputSeq }) =>
        already ? [] : [{ inputSeq, receivedMs, kind: 'word', ...said }],
      );
    },
    start: async (how) => {
      const start = { ...how, known: clock.known(), receivedMs: clock.nowMs() };
      await keep(start.receivedMs, writer.commitStart(start), ({ inputSeq }) => [
        { inputSeq, kind: 'start', ...start },
      ]);
    },
    turnClock: async (turn, keepEras) => {
      const receivedMs = clock.nowMs();
      committing.pause();
      const kept = keepEras().then(() => writer.commitClock({ ...turn, receivedMs }));
      // Until the turn is taken in, no time may pass beyond what the old clock showed.
      const shownMs = Math.min(receivedMs, receivedMs - turn.deltaMs);
      try {
        await keep(shownMs, kept, ({ inputSeq }) => [{ inputSeq, receivedMs, kind: 'clock', ...turn }]);
      } finally {
        committing.resume();
      }
    },
    settledMs: () => {
      const nowMs = clock.nowMs();
      const oldest = Math.min(queue.oldestMs() ?? Infinity, order.oldestMs() ?? Infinity);
      return Math.min(oldest - 1, nowMs);
    },
    close: async () => {
      closed = true;
      await committing.finish();
    },
  };
}
