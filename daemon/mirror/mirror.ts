/** A mirror: follows the kept readings by a cursor of its own and copies each to a server elsewhere. */
import type { MirrorView } from '../../shared/contract/api.ts';
import { type MirrorCursor, parseCursor, rewind } from './mirror-cursor.ts';
import type { MirrorReading, MirrorSource } from './mirror-readings.ts';
import type { MirrorPoint, MirrorServer } from './mirror-server.ts';
import { cursorAfter, nextSlice } from './next-slice.ts';
import { openPause } from './pause.ts';
import { type Stop, sendBatch } from './send-batch.ts';

export type MirrorOptions = {
  id: string;
  server: MirrorServer;
  source: MirrorSource;
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
  let pastTrail: { atMs: number; past: MirrorCursor['past'] }[] = [];
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
    await findPast();
    const holdFromSeq = options.holdFromSeq();
    // Asked before the readings: what is numbered up to it is kept, so that none of it can come later.
    const newestSeq = options.newestSeq();
    const slice = await nextSlice({
      cursor,
      holdFromSeq,
      newestSeq,
      source: options.source,
      limit: batchMax,
    });
    oldestMs = slice.readings[0]?.receivedMs ?? null;
    const sent = await sendBatch(server, slice.readings.map(pointOf));
    if (sent.refusedWhy !== null) refusedWhy = sent.refusedWhy;
    const reach = slice.reachedBy(sent.stop === null ? null : sent.done);
    const next = cursorAfter(cursor, reach, { holdFromSeq, atMs: nowMs(), keepMs: resendMs });
    if (reach.from === 'past') rememberPast();
    await keep(sent.setAside === 0 ? next : { ...next, setAside: next.setAside + sent.setAside });
    if (sent.stop !== null) return failed(sent.stop);
    if (slice.readings.length > 0) takenAtMs = nowMs();
    oldestMs = null;
    succeeded();
    return slice.isFull ? catchUpPauseMs : everyMs;
  }

  /** Where the mirror is so far behind that readings after its cursor have no number any more, plans to send them first. */
  async function findPast(): Promise<void> {
    if (cursor.past.length > 0) return;
    const found = await options.source.pastAfter(cursor.inputSeq);
    if (found === null) return;
    const { stretches, followFromSeq, sealedSeqs } = found;
    await keep({ ...cursor, inputSeq: followFromSeq, past: stretches, sealedSeqs, trail: [] });
  }

  async function keep(next: MirrorCursor): Promise<void> {
    if (next === cursor) return;
    await options.keepCursor(JSON.stringify(next));
    cursor = next;
  }

  /** Remembers what of the past was to be sent at a time, for as long as it may have to be sent again. */
  function rememberPast(): void {
    if (resendMs === 0) return;
    pastTrail = [...pastTrail, { atMs: nowMs(), past: cursor.past }];
    const firstYoung = pastTrail.findIndex(({ atMs }) => atMs >= nowMs() - resendMs);
    pastTrail = pastTrail.slice(Math.max(0, firstYoung - 1));
  }

  /** Goes back to before what the server may have lost, as it had taken it only shortly before. */
  function goBack(): void {
    cursor = rewind(cursor, resendMs);
    const [place] = pastTrail;
    if (place !== undefined) cursor = { ...cursor, past: place.past };
    pastTrail = [];
  }

  function pointOf({ probe, atMs, tempC }: MirrorReading): MirrorPoint {
    return { probe, atMs, tempC, place: options.placeOf(probe, atMs) };
  }

  function failed(stop: Stop): number {
    // What is rewound is not kept: a restart rewinds by itself, and the batches after it keep their own.
    if (trouble === null && stop.is === 'away' && resendMs > 0) goBack();
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
      state:
        trouble !== null ? trouble.is : oldestMs !== null || cursor.past.length > 0 ? 'behind' : 'current',
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

function troubleText(id: string, { is, why }: Stop): string {
  return is === 'away'
    ? `MIRROR_AWAY: mirror ${id} must be reached, got ${why}. Nothing is lost: readings wait in the history and follow.`
    : `MIRROR_DENIED: mirror ${id} must let this house write, got ${why}. Look at its token, org and bucket; readings wait in the history and follow.`;
}
