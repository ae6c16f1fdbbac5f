import type { LiveValue, LiveValueMessage } from '../../shared/contract/api.ts';
import type { RecordEvent } from '../../shared/contract/event.ts';
import type { HouseDesk } from './desk.ts';
import type { LiveBox } from './live-box.ts';
import { liveBox } from './live-box.ts';

/** Events that one look into the record fetches for a client that is behind. */
export const feedPageMax = 100;

/** A client hears a comment after this long without a message, so that both sides know the line is alive. */
export const heartbeatMs = 15_000;

/** How long a client waits before it connects again. */
const retryMs = 2_000;

/** How long until the record is asked again where it did not yet show an event that was already heard of. */
const lookAgainMs = 100;

export type FeedOptions = {
  desk: Pick<HouseDesk, 'house' | 'probes' | 'watches' | 'events' | 'live'>;
  /** The seq after which a client goes on; null for one that begins now. */
  afterSeq: number | null;
  heartbeatMs: number;
  /** Aborting it ends the feed at once. */
  signal: AbortSignal;
};

/**
 * Gives the messages of one client as server-sent events (WHATWG HTML §9.2): each event of the record after
 * `afterSeq`, once and in order, with its seq as id; then the newest view of every probe and watch, and
 * from there on both as they come. It is pulled: while the client does not read, nothing is made for it.
 * A seq beyond the record (of another house, or of one put back from a backup) begins now.
 */
export async function* liveFeed(options: FeedOptions): AsyncGenerator<string, void, void> {
  const { desk } = options;
  const box = liveBox();
  const leave = desk.live.subscribe(box);
  try {
    const recordSeq = Math.max(desk.house().recordSeq, box.newestSeq());
    const isResumed = options.afterSeq !== null && options.afterSeq <= recordSeq;
    const from = isResumed ? (options.afterSeq ?? recordSeq) : recordSeq;
    // A message of an id alone is not dispatched, but it is what the client resumes from.
    yield `retry: ${retryMs}\nid: ${from}\n\n`;
    const sentSeq = yield* missedEvents(options, from, recordSeq);
    for (const value of currentValues(desk)) box.value(value);
    yield* comingMessages(options, box, sentSeq);
  } finally {
    leave();
  }
}

/** Gives the events after `fromSeq` up to `toSeq` and returns the last seq given. */
async function* missedEvents({ desk, signal }: FeedOptions, fromSeq: number, toSeq: number) {
  let sentSeq = fromSeq;
  while (sentSeq < toSeq && !signal.aborted) {
    const events = await desk.events({ afterSeq: sentSeq, limit: feedPageMax });
    const last = events.at(-1);
    if (!last) break;
    sentSeq = last.recordSeq;
    yield events.map(recordMessage).join('');
  }
  return sentSeq;
}

async function* comingMessages(options: FeedOptions, box: LiveBox, fromSeq: number) {
  const { desk, signal } = options;
  let sentSeq = fromSeq;
  while (!signal.aborted) {
    const events =
      box.takeEventsAfter(sentSeq) ?? (await desk.events({ afterSeq: sentSeq, limit: feedPageMax }));
    sentSeq = events.at(-1)?.recordSeq ?? sentSeq;
    if (events.length > 0) yield events.map(recordMessage).join('');
    const value = box.takeValue();
    if (value) yield valueMessage(value);
    if (events.length > 0 || value) continue;
    const isBehind = box.newestSeq() > sentSeq;
    const isQuiet = !(await box.changed(isBehind ? lookAgainMs : options.heartbeatMs, signal));
    if (isQuiet && !isBehind) yield ': still here\n\n';
  }
}

function currentValues(desk: Pick<HouseDesk, 'probes' | 'watches'>): LiveValue[] {
  return [
    ...desk.probes().map((value) => ({ kind: 'probe', value }) as const),
    ...desk.watches().map((value) => ({ kind: 'watch', value }) as const),
  ];
}

function recordMessage(event: RecordEvent): string {
  return `event: record\nid: ${event.recordSeq}\ndata: ${JSON.stringify(event)}\n\n`;
}

function valueMessage(value: LiveValue): string {
  const message: LiveValueMessage = { v: 1, ...value };
  return `event: value\ndata: ${JSON.stringify(message)}\n\n`;
}
