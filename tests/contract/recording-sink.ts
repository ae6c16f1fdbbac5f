import type { Offer, Refusal, SourceSink, SourceState, WireReading } from '../../probes/source.ts';

/** The house as a source sees it, in memory: it keeps what it is offered and commits when the test says so. */
export type RecordingSink = SourceSink & {
  readonly offers: Offer[];
  readonly states: SourceState[];
  readings(): WireReading[];
  refusals(): Refusal[];
  /** From now on commits stay open until `commit`. */
  hold(): void;
  /** Commits what is held, oldest first; later offers commit at once again. */
  commit(): void;
  /** Commits only the offer of this index among those held. */
  commitOnly(index: number): void;
  /** The next `count` commits fail. */
  failNext(count: number): void;
};

/** Returns a sink that commits at once. */
export function createRecordingSink(): RecordingSink {
  const offers: Offer[] = [];
  const states: SourceState[] = [];
  const held: (() => void)[] = [];
  let isHolding = false;
  let failing = 0;
  return {
    offers,
    states,
    readings: () => offers.flatMap(({ readings }) => readings),
    refusals: () => offers.flatMap(({ refusals }) => refusals),
    hold() {
      isHolding = true;
    },
    commit() {
      isHolding = false;
      for (const release of held.splice(0)) release();
    },
    commitOnly(index) {
      held[index]?.();
    },
    failNext(count) {
      failing = count;
    },
    take(offer) {
      offers.push(offer);
      if (failing > 0) {
        failing -= 1;
        return Promise.reject(new Error('the disk is full'));
      }
      return isHolding ? new Promise((resolve) => held.push(resolve)) : Promise.resolve();
    },
    tell(_source, state) {
      states.push(state);
    },
  };
}
