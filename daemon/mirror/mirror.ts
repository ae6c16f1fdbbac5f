/** A mirror: follows the kept readings by a cursor of its own and copies each to a server elsewhere. */
import type { MirrorView } from '../../shared/contract/api.ts';
import { type MirrorCursor, parseCursor, rewind } from './mirror-cursor.ts';
import type { MirrorReading, ReadingsAfter } from './mirror-readings.ts';
import type { MirrorPoint, MirrorServer } from './mirror-server.ts';
import { cursorAfter, type NextSlice, nextSlice } from './next-slice.ts';
import { openPause } from './pause.ts';
import { type SentBatch, type Stop, sendBatch } from './send-batch.ts';

export type MirrorOptions = {
  id: string;
  server: MirrorServer;
  readingsAfter: ReadingsAfter;
  /** Where a probe stood at an instant, as far as is known; null where it is not. */
  placeOf: (probe: string, atMs: number) => string | null;
  /** The number of the newest kept input. */
  newestSeq: () => number;
  /** From which number on receipt-stamped readings wait for the clock; null where it is known. */
  holdFromSeq: () => number | null;
  /** Keeps the cursor; what was kept last is given to `openMirror`. */
  keepCursor: (text: string) => Promise<void>;
  keptCursor: string | null;
  nowMs: () => number;
  /** How long between two looks for new readings while none waits. */
  everyMs: number;
  /** After an outage, what was sent within so long before it is sent again; 0 for never. */
  resendMs: number;
  /** Hears of each outage or refusal once, and of its end by null. */
  onTrouble: (error: Error | null) => void;
};

export type Mirror = {
  view(): MirrorView;
  /** Lets the batch under way end, keeps the cursor, stops. */
  close(): Promise<void>;
};

/** The most readings in one request. */
export const batchMax = 5_000;

/** While it catches up, so long between two requests: at most 50,000 readings a second reach the server. */
const catchUpPauseMs = 100;

/** How long until the next try after the first failure, and at most; it doubles in between. */
const retryMsFirst = 1_000;
const retryMsMax = 60_000;

/** How long a batch under way may still take when the mirror closes; then its connection is cut. */
const closeMsMax = 500;

/** Starts following at once. */
export function openMirror(options: MirrorOptions): Mirror {
  const { server, everyMs, resendMs, nowMs } = options;
  // A power cut ends the server, too: what it took last is sent again, as after any outage.
  let cursor: MirrorCursor = rewind(parseCursor(options.keptCursor), resendMs);
  let trouble: Stop | null = null;
  let refusedWhy: string | null = null;
  let failures = 0;
  let oldestMs: number | null = null;
  let takenAtMs: number | null = null;
  const pause = openPause();
  const running = run();

  async function run(): Promise<void> {
    while (!pause.isOver) {
      const waitMs = await step().catch((error: Error) =>
        failed({ is: 'away', why: error.message, againMs: null }),
      );
      await pause.for(waitMs);
    }
  }

  /** Sends one slice and returns how long to wait for the next. */
  async function step(): Promise<number> {
    const holdFromSeq = options.holdFromSeq();
    const { readingsAfter } = options;
    // Asked before the readings: what is numbered up to it is kept, so that none of it can come later.
    const newestSeq = options.newestSeq();
    const slice = await nextSlice({ cursor, holdFromSeq, newestSeq, readingsAfter, limit: batchMax });
    oldestMs = slice.readings[0]?.receivedMs ?? null;
    const sent = await sendBatch(server, slice.readings.map(pointOf));
    if (sent.refusedWhy !== null) refusedWhy = sent.refusedWhy;
    const reached = { from: slice.from, toSeq: reachedSeq(slice, sent), setAside: sent.setAside };
    await keep(cursorAfter(cursor, reached, { holdFromSeq, atMs: nowMs(), keepMs: resendMs }));
    if (sent.stop !== null) return failed(sent.stop);
    if (slice.readings.length > 0) takenAtMs = nowMs();
    oldestMs = null;
    succeeded();
    return slice.isFull ? catchUpPauseMs : everyMs;
  }

  async function keep(next: MirrorCursor): Promise<void> {
    if (next === cursor) return;
    await options.keepCursor(JSON.stringify(next));
    cursor = next;
  }

  function pointOf({ probe, atMs, tempC }: MirrorReading): MirrorPoint {
    return { probe, atMs, tempC, place: options.placeOf(probe, atMs) };
  }

  function failed(stop: Stop): number {
    // What is rewound is not kept: a restart rewinds by itself, and the batches after it keep their own.
    if (trouble === null && stop.is === 'away' && resendMs > 0) cursor = rewind(cursor, resendMs);
    trouble = stop;
    if (!pause.isOver) options.onTrouble(new Error(troubleText(options.id, stop)));
    const backoffMs = Math.min(retryMsMax, retryMsFirst * 2 ** Math.min(failures, 10));
    failures += 1;
    return Math.max(backoffMs, Math.min(retryMsMax, stop.is === 'away' ? (stop.againMs ?? 0) : 0));
  }

  function succeeded(): void {
    failures = 0;
    if (trouble !== null) options.onTrouble(null);
    trouble = null;
  }

  return {
    view: () => ({
      id: options.id,
      state: trouble !== null ? trouble.is : oldestMs !== null ? 'behind' : 'current',
      waiting: Math.max(0, options.newestSeq() - cursor.inputSeq),
      held: cursor.held !== null,
      lagMs: oldestMs === null ? 0 : Math.max(0, nowMs() - oldestMs),
      takenAtMs,
      setAside: cursor.setAside,
      why: trouble?.why ?? refusedWhy ?? '',
    }),
    close: async () => {
      pause.end();
      const cut = setTimeout(server.close, closeMsMax);
      await running;
      clearTimeout(cut);
      server.close();
    },
  };
}

/** How far a slice is done: to its end, or to the last reading before the one that was stopped. */
function reachedSeq({ readings, toSeq }: NextSlice, { done, stop }: SentBatch): number {
  if (stop === null) return toSeq;
  const next = readings[done];
  return next === undefined ? toSeq : next.inputSeq - 1;
}

function troubleText(id: string, { is, why }: Stop): string {
  return is === 'away'
    ? `MIRROR_AWAY: mirror ${id} must be reached, got ${why}. Nothing is lost: readings wait in the history and follow.`
    : `MIRROR_DENIED: mirror ${id} must let this house write, got ${why}. Look at its token, org and bucket; readings wait in the history and follow.`;
}
