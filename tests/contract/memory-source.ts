import type { Offer, Source, SourceSink } from '../../probes/source.ts';
import type { Decoded } from '../../probes/wire/decoded.ts';

/** A wire that exists only in memory, with a sender at its far end and switches for its faults. */
export type MemoryWire = {
  /** Returns a source on this wire; what was not acknowledged to an earlier one comes again. */
  makeSource(): Source;
  /** Hands a message over; it is kept until it is acknowledged, and sent again where a commit fails. */
  send(message: Decoded): void;
  acknowledged(): number;
  /** Takes the wire away, and brings it back. */
  setDown(isDown: boolean): void;
  /** From now on a message is acknowledged before its commit: the fault that the contract must find. */
  acknowledgeEarly(): void;
  /** From now on a message whose commit fails is dropped: another such fault. */
  dropFailed(): void;
};

type Message = { decoded: Decoded; isUnderWay: boolean };

/** Returns a wire that is up, with nobody listening. */
export function createMemoryWire(id: string): MemoryWire {
  const kept: Message[] = [];
  let acknowledged = 0;
  let isDown = false;
  let isEarly = false;
  let isDropping = false;
  let listener: SourceSink | null = null;

  function deliver(): void {
    if (listener === null || isDown) return;
    for (const message of kept.filter(({ isUnderWay }) => !isUnderWay)) offer(message, listener);
  }

  function offer(message: Message, sink: SourceSink): void {
    message.isUnderWay = true;
    const offered: Offer = { source: id, ...message.decoded, canResend: true };
    if (isEarly) acknowledge(message);
    sink.take(offered).then(
      () => {
        // What ends after the close was never acknowledged to this sender.
        if (listener === sink && !isEarly) acknowledge(message);
      },
      () => {
        message.isUnderWay = false;
        if (isDropping) kept.splice(kept.indexOf(message), 1);
        setImmediate(deliver);
      },
    );
  }

  function acknowledge(message: Message): void {
    kept.splice(kept.indexOf(message), 1);
    acknowledged += 1;
  }

  function tellState(sink: SourceSink): void {
    sink.tell(id, isDown ? { state: 'waiting', why: 'down' } : { state: 'open', why: 'up' });
  }

  return {
    makeSource: () => ({
      id,
      async open(sink) {
        listener = sink;
        tellState(sink);
        deliver();
      },
      async close() {
        listener?.tell(id, { state: 'closed', why: 'closed' });
        listener = null;
        for (const message of kept) message.isUnderWay = false;
      },
    }),
    send(decoded) {
      kept.push({ decoded, isUnderWay: false });
      deliver();
    },
    acknowledged: () => acknowledged,
    setDown(down) {
      isDown = down;
      if (listener !== null) tellState(listener);
      deliver();
    },
    acknowledgeEarly() {
      isEarly = true;
    },
    dropFailed() {
      isDropping = true;
    },
  };
}
