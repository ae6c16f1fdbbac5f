/** What changes in the house, told to all who listen: the page's feed and the brokers. Wiring. */
import type { LiveValue, Notice } from '../shared/contract/api.ts';
import type { RecordEvent } from '../shared/contract/event.ts';
import { noticeMessage, stateMessage, watchMessage } from './broker/out-topics.ts';
import type { Publisher } from './broker/publisher.ts';
import type { LiveListener } from './http/desk.ts';

/** Tells events as they are kept, and the newest values a few times a second. */
export type LiveDesk = {
  subscribe(listener: LiveListener): () => void;
  tell(events: readonly RecordEvent[]): void;
  /** Tells one value at once. */
  show(value: LiveValue): void;
  close(): void;
};

export type LiveDeskOptions = {
  /** Views of what changed since the last call. */
  changes: () => LiveValue[];
  everyMs?: number;
};

/** How often changed values are told: a person sees no more. */
const everyMsUsual = 250;

export function openLiveDesk(options: LiveDeskOptions): LiveDesk {
  const listeners = new Set<LiveListener>();
  const timer = setInterval(() => {
    for (const value of options.changes()) for (const listener of listeners) listener.value(value);
  }, options.everyMs ?? everyMsUsual);
  return {
    subscribe: (listener) => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    tell: (events) => {
      for (const event of events) for (const listener of listeners) listener.event(event);
    },
    show: (value) => {
      for (const listener of listeners) listener.value(value);
    },
    close: () => clearInterval(timer),
  };
}

/** Listens to a live desk and publishes what it hears under the out topics of a house. */
export function outListener(
  publisher: Pick<Publisher, 'publish'>,
  { house, noticeOf }: { house: string; noticeOf: (event: RecordEvent) => Notice | null },
): LiveListener {
  return {
    event: (event) => {
      const notice = noticeOf(event);
      if (notice !== null) publisher.publish(noticeMessage(house, notice));
    },
    value: ({ kind, value }) => {
      if (kind === 'probe') publisher.publish(stateMessage(house, value));
      // Letters are for people; their ways bring them.
      if (kind === 'watch') publisher.publish(watchMessage(house, value));
    },
  };
}
