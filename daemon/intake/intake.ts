/**
 * Where all wires meet: readings wait in their probe's line, are committed in groups and only then
 * acknowledged and handed on, numbered, in one order with people's words and the clock's steps.
 */
import type { Offer, SourceSink, SourceState, WireReading } from '../../probes/source.ts';
import { type Input, readingFlags } from '../../shared/contract/input.ts';
import type { Word } from '../../shared/contract/word.ts';
import { type Counts, openCounts } from './counts.ts';
import type { IntakeItem, IntakeWriter, Verdict } from './intake-writer.ts';
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

/** Readings in one commit; more wait for the next. */
export const commitMax = 2_000;
/** Readings that one probe may have waiting where nobody can send them again; surplus is refused and counted. */
export const waitingPerProbeMax = 5_000;
/** How far ahead of a known clock a stamp may be. */
export const aheadMaxMs = 120_000;
/** How long the first reading of a group waits for others. */
const gatherMs = 1;
/** How long after a failed commit the next is tried. */
const retryMs = 1_000;

export function openIntake(options: IntakeOptions): Intake {
  const { writer, clock, onInputs } = options;
  const queue = openQueue();
  const counts = openCounts();
  const sources = new Map<string, SourceState>();
  /** Receipts of inputs that are being committed or watched. */
  const committing: number[] = [];
  let timer: NodeJS.Timeout | null = null;
  let busy = false;
  /** Resolves when all that was handed on is watched. */
  let watched: Promise<void> = Promise.resolve();
  /** Turns of the clock that are being kept; readings wait for them. */
  let turning = 0;
  let closed = false;
  let onIdle: (() => void) | null = null;

  const schedule = (delayMs: number): void => {
    if (timer !== null || busy || turning > 0) return;
    timer = setTimeout(() => {
      timer = null;
      void commitGroup();
    }, delayMs);
  };

  async function commitGroup(): Promise<void> {
    if (turning > 0) return;
    busy = true;
    const group = queue.take(commitMax);
    const oldestMs = group.reduce((least, { receivedMs }) => Math.min(least, receivedMs), Infinity);
    committing.push(oldestMs);
    const before = watched;
    let failed = false;
    try {
      const verdicts = await writer.commitReadings(group.map(itemOf));
      handOn(settleGroup(group, verdicts), oldestMs);
      options.onTrouble(null);
      // One group may be watched while the next is committed, no more.
      await before;
    } catch (error) {
      failed = true;
      failGroup(group, error instanceof Error ? error : new Error(String(error)));
      leaveCommitting(oldestMs);
    }
    busy = false;
    if (queue.size > 0 && !(closed && failed)) schedule(failed ? retryMs : 0);
    else onIdle?.();
  }

  function handOn(inputs: Input[], receivedMs: number): void {
    watched = onInputs(inputs).finally(() => leaveCommitting(receivedMs));
  }

  function leaveCommitting(receivedMs: number): void {
    committing.splice(committing.indexOf(receivedMs), 1);
  }

  const itemOf = ({ reading, receivedMs, steadyMs }: Waiting): IntakeItem => ({
    probe: reading.probe,
    tempC: reading.tempC,
    flags: flagsOf(reading, options.simulated),
    receivedMs,
    stamp:
      reading.atMs === null
        ? { era: clock.era(), steadyMs: steadyMs - (reading.ageMs ?? 0) }
        : { atMs: reading.atMs },
  });

  function settleGroup(group: readonly Waiting[], verdicts: readonly Verdict[]): Input[] {
    const inputs: Input[] = [];
    for (const [index, waiting] of group.entries()) {
      const verdict = verdicts[index] as Verdict;
      count(counts, waiting.reading, verdict);
      if (verdict.is === 'stored') {
        const { probe, tempC } = waiting.reading;
        const { inputSeq, atMs, flags } = verdict;
        const { receivedMs } = waiting;
        inputs.push({ inputSeq, receivedMs, kind: 'reading', reading: { probe, atMs, tempC, flags } });
      }
      leave(waiting.offer);
    }
    return inputs;
  }

  function failGroup(group: readonly Waiting[], error: Error): void {
    options.onTrouble(error);
    // Who can send again is told to; what nobody can send again waits for the next try.
    for (const { offer } of group) if (offer.canResend) offer.fail(error);
    queue.putBack(group.filter(({ offer }) => !offer.canResend));
  }

  async function inOrder<T extends { inputSeq: number }>(
    receivedMs: number,
    commit: Promise<T>,
    inputOf: (kept: T) => Input | null,
  ): Promise<T> {
    committing.push(receivedMs);
    try {
      const kept = await commit;
      const input = inputOf(kept);
      handOn(input === null ? [] : [input], receivedMs);
      return kept;
    } catch (error) {
      leaveCommitting(receivedMs);
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
      for (const refusal of offer.refusals) counts.refuse(refusal);
      const receivedMs = clock.nowMs();
      const readings = offer.readings.filter((reading) => accept(reading, offer, receivedMs));
      if (readings.length === 0) return Promise.resolve();
      return new Promise((settle, fail) => {
        const open: OpenOffer = { left: readings.length, canResend: offer.canResend, settle, fail };
        const steadyMs = clock.steadyMs();
        for (const reading of readings) queue.push({ reading, receivedMs, steadyMs, offer: open });
        schedule(gatherMs);
      });
    },
    say: ({ wordId, by, word }) => {
      const receivedMs = clock.nowMs();
      return inOrder(receivedMs, writer.commitWord({ wordId, by, word, receivedMs }), (kept) =>
        kept.already ? null : { inputSeq: kept.inputSeq, receivedMs, kind: 'word', wordId, by, word },
      );
    },
    start: async (how) => {
      const start = { ...how, known: clock.known(), receivedMs: clock.nowMs() };
      await inOrder(start.receivedMs, writer.commitStart(start), ({ inputSeq }) => ({
        inputSeq,
        kind: 'start',
        ...start,
      }));
    },
    turnClock: async ({ deltaMs, known }, keepEras) => {
      const receivedMs = clock.nowMs();
      turning += 1;
      const kept = keepEras().then(() => writer.commitClock({ deltaMs, known, receivedMs }));
      // Until the turn is taken in, no time may pass beyond what the old clock showed.
      const shownMs = Math.min(receivedMs, receivedMs - deltaMs);
      try {
        await inOrder(shownMs, kept, ({ inputSeq }) => ({
          inputSeq,
          receivedMs,
          kind: 'clock',
          deltaMs,
          known,
        }));
      } finally {
        turning -= 1;
        if (queue.size > 0) schedule(0);
      }
    },
    settledMs: () => {
      const oldest = Math.min(queue.oldestMs() ?? Infinity, ...committing);
      return oldest === Infinity ? clock.nowMs() : Math.min(oldest - 1, clock.nowMs());
    },
    close: async () => {
      closed = true;
      if (!busy && queue.size === 0) return;
      if (timer !== null) {
        clearTimeout(timer);
        timer = null;
        void commitGroup();
      }
      await new Promise<void>((resolve) => {
        onIdle = resolve;
      });
    },
  };

  function accept(reading: WireReading, offer: Offer, nowMs: number): boolean {
    const { probe, atMs } = reading;
    const stranger = options.refusalOf?.(probe, offer.source) ?? null;
    if (stranger !== null) {
      refuse(offer, reading, { code: 'WIRE_PROBE', message: stranger });
      return false;
    }
    if (atMs !== null && clock.known() && atMs > nowMs + aheadMaxMs) {
      refuse(offer, reading, {
        code: 'WIRE_AHEAD',
        message: `a stamp of ${probe} must not be more than 2 min ahead of the clock, got ${new Date(atMs).toISOString()}. Set the clock of what sends it.`,
      });
      return false;
    }
    if (!offer.canResend && queue.lengthOf(probe) >= waitingPerProbeMax) {
      refuse(offer, reading, {
        code: 'WIRE_SURPLUS',
        message: `readings of ${probe} that wait must be at most ${waitingPerProbeMax}, got one more. Let it send less often.`,
      });
      return false;
    }
    return true;
  }

  function refuse(
    offer: Offer,
    reading: WireReading,
    why: { code: 'WIRE_AHEAD' | 'WIRE_SURPLUS' | 'WIRE_PROBE'; message: string },
  ): void {
    counts.refuse({ source: offer.source, probe: reading.probe, ...why });
  }
}

function flagsOf(reading: WireReading, simulated: boolean): number {
  const receipt = reading.atMs === null ? readingFlags.receipt : 0;
  const undated = reading.undated ? readingFlags.undated : 0;
  return receipt | undated | (simulated ? readingFlags.simulated : 0);
}

function count(counts: Counts, { probe }: WireReading, verdict: Verdict): void {
  switch (verdict.is) {
    case 'stored':
      counts.add(probe, 'taken');
      if ((verdict.flags & readingFlags.late) !== 0) counts.add(probe, 'late');
      if ((verdict.flags & readingFlags.undated) !== 0) counts.add(probe, 'undated');
      return;
    case 'repeat':
      counts.add(probe, 'repeats');
      return;
    case 'conflict':
      counts.add(probe, 'conflicts');
      return;
    case 'refused':
      counts.add(probe, 'refused');
      return;
    default:
      verdict satisfies never;
  }
}

function leave(offer: OpenOffer): void {
  offer.left -= 1;
  if (offer.left === 0) offer.settle();
}
