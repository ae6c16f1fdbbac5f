import type { LiveValue } from '../../shared/contract/api.ts';
import type { RecordEvent } from '../../shared/contract/event.ts';
import type { LiveListener } from './desk.ts';

/** Events that wait in memory for one client; when more come, all are let go and read from the record. */
export const heldEventsMax = 64;

/**
 * Probes and watches whose newest view waits for one client; when more come, the one that has waited
 * longest is let go. Far above what a house has, so it only bounds a client that stopped reading for days.
 */
export const heldValuesMax = 1024;

/**
 * What waits for one client of the live feed. It listens to the house, so both calls of a listener return
 * at once however slow the client is, and it holds at most `heldEventsMax` events and `heldValuesMax` values.
 */
export type LiveBox = LiveListener & {
  /** The largest recordSeq heard of; 0 before the first. */
  newestSeq(): number;
  /** Takes out the events after `seq`; null where some of them are no longer held: read the record then. */
  takeEventsAfter(seq: number): RecordEvent[] | null;
  /** Takes out the newest value of the probe or watch that has waited longest. */
  takeValue(): LiveValue | undefined;
  /** Resolves true at the next event or value or when the signal is aborted, false after `spanMs` without. */
  changed(spanMs: number, signal: AbortSignal): Promise<boolean>;
};

/** Returns an empty box. */
export function liveBox(): LiveBox {
  let events: RecordEvent[] = [];
  let newestSeq = 0;
  const values = new Map<string, LiveValue>();
  let wake = () => {};
  return {
    newestSeq: () => newestSeq,
    event(event) {
      if (events.length >= heldEventsMax) events = [];
      events.push(event);
      newestSeq = Math.max(newestSeq, event.recordSeq);
      wake();
    },
    value(value) {
      const key = `${value.kind} ${value.value.id}`;
      values.set(key, value);
      if (values.size > heldValuesMax) values.delete(values.keys().next().value ?? key);
      wake();
    },
    takeEventsAfter(seq) {
      if (newestSeq <= seq) return [];
      const taken = events.filter((event) => event.recordSeq > seq);
      if (taken[0]?.recordSeq !== seq + 1) return null;
      events = [];
      return taken;
    },
    takeValue() {
      const first = values.entries().next().value;
      if (first) values.delete(first[0]);
      return first?.[1];
    },
    changed: (spanMs, signal) =>
      new Promise((resolve) => {
        const settle = (isChanged: boolean) => {
          clearTimeout(timer);
          signal.removeEventListener('abort', changed);
          wake = () => {};
          resolve(isChanged);
        };
        const changed = () => settle(true);
        const timer = setTimeout(settle, spanMs, false);
        signal.addEventListener('abort', changed);
        wake = changed;
        if (signal.aborted) changed();
      }),
  };
}
