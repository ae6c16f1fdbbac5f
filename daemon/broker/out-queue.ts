import type { OutMessage } from './out-topics.ts';

/** The most messages that wait to be published; one more drops the one that waited longest, and is counted. */
export const waitingMessagesMax = 1_024;

/** Messages on their way out, in order; a newer one of a retained topic takes the place of the one that waits. */
export type OutQueue = {
  put(message: OutMessage): void;
  /** Puts a message in again that could not leave, unless a newer one of its retained topic waits. */
  putBack(message: OutMessage): void;
  /** Takes out the message that waited longest. */
  take(): OutMessage | undefined;
  size(): number;
  /** How many were dropped since the beginning; one replaced by a newer one is not counted. */
  dropped(): number;
};

/** Returns an empty queue. */
export function outQueue(): OutQueue {
  const waiting = new Map<string, OutMessage>();
  let putCount = 0;
  let dropped = 0;
  const take = () => {
    const first = waiting.entries().next().value;
    if (first) waiting.delete(first[0]);
    return first?.[1];
  };
  const put = (message: OutMessage) => {
    putCount += 1;
    // A topic has no space at its beginning, so a counted key is never taken for one.
    const key = message.retain ? message.topic : ` ${putCount}`;
    if (!waiting.has(key) && waiting.size >= waitingMessagesMax) {
      take();
      dropped += 1;
    }
    waiting.set(key, message);
  };
  return {
    put,
    putBack(message) {
      if (!message.retain || !waiting.has(message.topic)) put(message);
    },
    take,
    size: () => waiting.size,
    dropped: () => dropped,
  };
}
