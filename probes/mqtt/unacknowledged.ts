/** The messages of one connection that were taken and not yet acknowledged, in the order of receipt. */

/** The most messages open on a connection. At the limit it reads no further until some are committed. */
export const unackedMax = 4000;

/** The most payload bytes open on a connection; as with the count, it reads no further at the limit. */
export const unackedBytesMax = 16 * 1024 * 1024;

/** A message under way; `messageId` is null where nobody waits for an acknowledgement (QoS 0). */
export type Unacked = { readonly messageId: number | null; readonly bytes: number; isCommitted: boolean };

/** The bounds of one connection; `unackedMax` and `unackedBytesMax` unless a test sets smaller ones. */
export type UnackedLimits = { countMax: number; bytesMax: number };

/** A queue that gives acknowledgements out in the order in which the messages came (MQTT §4.6). */
export type UnackedQueue = {
  add(messageId: number | null, bytes: number): Unacked;
  /** Drops the committed messages at the head and returns the ids to acknowledge, oldest first. */
  takeCommitted(): number[];
  isFull(): boolean;
  isEmpty(): boolean;
};

/** Returns an empty queue with these bounds; `add` goes on working beyond them, the caller heeds `isFull`. */
export function createUnackedQueue({ countMax, bytesMax }: UnackedLimits): UnackedQueue {
  const open: Unacked[] = [];
  let openBytes = 0;
  return {
    add(messageId, bytes) {
      const unacked = { messageId, bytes, isCommitted: false };
      open.push(unacked);
      openBytes += bytes;
      return unacked;
    },
    takeCommitted() {
      const firstOpen = open.findIndex(({ isCommitted }) => !isCommitted);
      const committed = open.splice(0, firstOpen === -1 ? open.length : firstOpen);
      for (const { bytes } of committed) openBytes -= bytes;
      return committed.flatMap(({ messageId }) => (messageId === null ? [] : [messageId]));
    },
    isFull: () => open.length >= countMax || openBytes >= bytesMax,
    isEmpty: () => open.length === 0,
  };
}
