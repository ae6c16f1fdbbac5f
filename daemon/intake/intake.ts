/**
 * Where all wires meet: readings wait in their probe's line, are committed in groups and only then
 * acknowledged and handed on, numbered, in one order with people's words and the clock's steps.
 */
import type { SourceSink, SourceState } from '../../probes/source.ts';
import type { Input, Reading } from '../../shared/contract/input.ts';
import { acceptReadings } from './accept.ts';
import { openArrivals } from './arrivals.ts';
import { gatherSpanMs, type Standing } from './cadence.ts';
import { openCommitting, retryMsUsual } from './committing.ts';
import { type Counts, openCounts } from './counts.ts';
import { itemOf, seenAs, settleGroup } from './group.ts';
import type { IntakeWriter } from './intake-writer.ts';
import { openOneOrder } from './one-order.ts';
import { type OtherInputs, openOtherInputs } from './other-inputs.ts';
import { type OpenOffer, openQueue, type Waiting } from './queue.ts';
import { openTurning } from './turning.ts';

export type IntakeOptions = {
  writer: IntakeWriter;
  /** The daemon's time, UTC = steady + offset, and the era that receipt stamps belong to. */
  clock: { steadyMs(): number; offsetMs(): number; known(): boolean; era(): number };
  /**
   * Called with committed inputs in the order of their numbers; must not throw. The next group is handed on
   * only when this one is done with.
   */
  onInputs: (inputs: Input[]) => Promise<void>;
  /** Called when a commit of readings or a turn of the clock failed, and with null when one succeeded again. */
  onTrouble: (error: Error | null) => void;
  /** Called with readings that could not be committed, as the watching would see them. */
  onUncommitted?: (readings: (Reading & { receivedMs: number })[]) => void;
  /** Says why this wire's readings of this probe are not taken; null where they are. */
  refusalOf?: (probe: string, source: string) => string | null;
  /** How the watching stands, by which commits are gathered; at once unless given. */
  standing?: () => Standing;
  /** Marks every reading as simulated. */
  simulated: boolean;
  /** How long after a failed commit it is tried again; a second unless given. */
  retryMs?: number;
};

export type Intake = SourceSink &
  OtherInputs & {
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
  const { retryMs = retryMsUsual, standing = () => 'turn' } = options;
  const queue = openQueue();
  const arrivals = openArrivals({ queue, clock, standing });
  const counts = openCounts();
  const sources = new Map<string, SourceState>();
  const order = openOneOrder(onInputs);
  const committing = openCommitting(queue, commitGroup, retryMs);
  const turning = openTurning({ pause: committing.pause, resume: committing.resume, onTrouble, retryMs });
  const nowMs = (): number => clock.steadyMs() + clock.offsetMs();
  let closed = false;

  async function commitGroup(group: Waiting[]): Promise<void> {
    const before = order.watched();
    const time = { offsetMs: clock.offsetMs(), era: clock.era(), simulated };
    const items = group.map((waiting) => itemOf(waiting, time));
    const underway = order.enter(Math.min(...items.map(({ receivedMs }) => receivedMs)));
    try {
      const verdicts = await writer.commitReadings(items);
      order.handOn(underway, settleGroup(group, verdicts, { counts, items }));
    } catch (error) {
      order.leave(underway);
      options.onUncommitted?.(items.map((item) => seenAs(item, time)));
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

  return {
    ...openOtherInputs({
      writer,
      order,
      turning,
      clock: { nowMs, known: clock.known },
      hurry: committing.hurry,
    }),
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
      const rules = { nowMs: nowMs(), clockKnown: clock.known(), waitingOf: queue.lengthOf, refusalOf };
      const { taken, refused } = acceptReadings(offer, rules);
      for (const refusal of [...offer.refusals, ...refused]) counts.refuse(refusal);
      if (taken.length === 0) return Promise.resolve();
      return new Promise((settle, fail) => {
        const arrival = arrivals.see(offer, taken);
        const answer = () => {
          arrivals.answered(offer.source);
          settle();
        };
        const { canResend } = offer;
        const open: OpenOffer = { left: taken.length, canResend, settle: canResend ? answer : settle, fail };
        const steadyMs = clock.steadyMs();
        for (const reading of taken) queue.push({ reading, steadyMs, offer: open });
        committing.wake(gatherSpanMs(arrival, arrivals.standing));
      });
    },
    settledMs: () => {
      const waitsFromMs = (queue.oldestSteadyMs() ?? Infinity) + clock.offsetMs();
      return Math.min(waitsFromMs - 1, (order.oldestMs() ?? Infinity) - 1, nowMs());
    },
    close: async () => {
      closed = true;
      turning.close();
      await turning.over();
      await committing.finish();
    },
  };
}
