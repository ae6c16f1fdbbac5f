/** Brings letters from the outbox to their ways: each way by itself, in order, again until it is taken. */
import type { Letter } from '../../shared/contract/notify.ts';
import { backoffMs, backoffMsMax } from './backoff.ts';
import type { Outbox } from './outbox.ts';
import type { OutboxLetter } from './outbox-letters.ts';
import type { WayState } from './outbox-ways.ts';
import type { Sent, Way } from './way.ts';

/** The outbox as the main thread reaches it: through the writer, so each call may wait or be refused. */
export type LetterStore = {
  [K in 'turnNotices' | 'lettersOf' | 'settleLetter' | 'proveWay']: (
    ...args: Parameters<Outbox[K]>
  ) => Promise<ReturnType<Outbox[K]>>;
};

export type DispatcherOptions = {
  store: LetterStore;
  ways: readonly Way[];
  /** How the ways stood when the house last ran. */
  known: readonly WayState[];
  nowMs: () => number;
  /** Writes a letter in its receiver's words. */
  render: (letter: OutboxLetter) => Letter;
  /** Called when a way begins to fail, and when it works again. */
  onTurned: (turn: WayTurn) => void;
  /** Called when the outbox could not be asked or told; it is tried again. */
  onTrouble: (error: Error | null) => void;
  chance?: () => number;
  /** Whether a letter went out past the outbox already. */
  wasSent?: (letter: OutboxLetter) => boolean;
};

export type WayTurn = { way: Way; nowMs: number } & (
  | { is: 'failing'; why: string; sinceMs: number }
  | { is: 'working'; sinceMs: number }
);

export type Dispatcher = {
  /** Something was written, or may have fallen due: looks at once. */
  wake(): void;
  /** Sends a test by a way, after what is under way there; one that arrives proves the way. */
  test(way: string, letter: Letter): Promise<Sent>;
  /** Resolves when no letter is under way; letters that wait for a failing way are left. */
  idle(): Promise<void>;
  /** Ends the tries under way and looks no more. */
  close(): Promise<void>;
};

/** After so many failures in a row other ways take over. */
export const takeOverTries = 2;

/** A letter that its far end answered badly so often is refused, so that it does not keep back all others. */
export const triesPerLetterMax = 20;

/** Letters fetched at a time. */
const sliceMax = 20;

/** How long after the outbox could not be asked it is asked again. */
const retryMs = 1_000;

/** The longest wait for the next turn of the manners: clocks drift. */
const turnMsMax = 60_000;

/** Opens the dispatcher; it begins with `wake`. */
export function openDispatcher(options: DispatcherOptions): Dispatcher {
  const lines = options.ways.map((way) => openLine(way, options, wakeLines));
  let timer: NodeJS.Timeout | null = null;
  let turning: Promise<void> | null = null;
  let again = false;
  let closed = false;

  function wakeLines(): void {
    for (const line of lines) line.wake();
  }

  /** Lets the manners write what has fallen due, then looks at every way. */
  async function turn(): Promise<void> {
    do {
      again = false;
      const waitMs = await options.store.turnNotices(options.nowMs()).then(
        ({ wakeAtMs }) => Math.min(turnMsMax, Math.max(5, (wakeAtMs ?? Infinity) - options.nowMs())),
        (error: Error) => {
          options.onTrouble(error);
          return retryMs;
        },
      );
      wakeLines();
      if (timer !== null) clearTimeout(timer);
      timer = closed ? null : setTimeout(wake, waitMs);
    } while (again && !closed);
  }

  function wake(): void {
    if (closed) return;
    // The manners are asked in their own time; letters that an event caused are there already.
    wakeLines();
    again = true;
    turning ??= turn().finally(() => {
      turning = null;
    });
  }

  return {
    wake,
    test: async (way, letter) => {
      const index = options.ways.findIndex(({ id }) => id === way);
      const line = lines[index];
      return line === undefined ? { is: 'refused', why: 'there is no such way' } : line.test(letter);
    },
    idle: async () => {
      await turning;
      await Promise.all(lines.map((line) => line.idle()));
    },
    close: async () => {
      closed = true;
      if (timer !== null) clearTimeout(timer);
      await Promise.all(lines.map((line) => line.close()));
      await turning;
    },
  };
}

type Line = {
  wake(): void;
  test(letter: Letter): Promise<Sent>;
  idle(): Promise<void>;
  close(): Promise<void>;
};

/** The letters of one way. */
function openLine(way: Way, options: DispatcherOptions, onRefused: () => void): Line {
  const known = options.known.find((state) => state.way === way.id);
  const { store, nowMs, render, onTurned, onTrouble, chance = Math.random, wasSent = () => false } = options;
  let running: Promise<void> | null = null;
  let again = false;
  let timer: NodeJS.Timeout | null = null;
  let closed = false;
  /** Until when the way is left alone, by the daemon's clock; null while it may be tried. */
  let pausedToMs: number | null = null;
  let tries = known?.tries ?? 0;
  /** Since when other ways have taken over; null while this one works. */
  let failingSinceMs = tries >= takeOverTries ? (known?.failingSinceMs ?? null) : null;

  function wake(): void {
    if (closed || pausedToMs !== null) return;
    again = true;
    running ??= run().finally(() => {
      running = null;
    });
  }

  function pause(spanMs: number): void {
    pausedToMs = nowMs() + spanMs;
    timer = setTimeout(() => {
      pausedToMs = null;
      wake();
    }, spanMs);
  }

  async function run(): Promise<void> {
    while (again && !closed && pausedToMs === null) {
      again = false;
      const letters = await store.lettersOf(way.id, sliceMax).catch(trouble);
      if (letters === null || letters.length === 0) continue;
      again = letters.length === sliceMax;
      for (const letter of letters) {
        if (closed || !(await bring(letter))) return;
      }
    }
  }

  function trouble(error: Error): null {
    onTrouble(error);
    if (!closed) pause(retryMs);
    return null;
  }

  /** True where the next letter may follow. */
  async function bring(letter: OutboxLetter): Promise<boolean> {
    const sent: Sent = wasSent(letter) ? { is: 'sent' } : await way.send(render(letter));
    // What a closing house cut off says nothing of the way.
    if (closed && sent.is !== 'sent') return false;
    const state = await settle(letter, sent);
    if (state === null) return false;
    onTrouble(null);
    return sent.is !== 'failed' || tries === 0;
  }

  async function settle({ letterSeq }: OutboxLetter, sent: Sent): Promise<WayState | null> {
    const at = { way: way.id, letterSeq, nowMs: nowMs() };
    if (sent.is === 'failed') return settleFailed(at, sent.why);
    tries = 0;
    if (sent.is === 'refused') {
      // Another way may have got the letter by this.
      const state = await store.settleLetter({ ...at, is: 'refused', why: sent.why }).catch(trouble);
      if (state !== null) onRefused();
      return state;
    }
    const state = await store.settleLetter({ ...at, is: 'sent' }).catch(trouble);
    if (state === null || failingSinceMs === null) return state;
    onTurned({ is: 'working', way, sinceMs: failingSinceMs, nowMs: at.nowMs });
    failingSinceMs = null;
    return state;
  }

  async function settleFailed(
    at: { way: string; letterSeq: number; nowMs: number },
    why: string,
  ): Promise<WayState | null> {
    tries += 1;
    if (tries >= triesPerLetterMax && why.startsWith('answered ')) {
      tries = 0;
      return store.settleLetter({ ...at, is: 'refused', why }).catch(trouble);
    }
    const waitMs = Math.min(backoffMsMax, backoffMs(tries - 1, chance()));
    const takeOver = tries >= takeOverTries;
    const settlement = { ...at, is: 'failed', why, nextTryMs: at.nowMs + waitMs, takeOver } as const;
    const state = await store.settleLetter(settlement).catch(trouble);
    if (state === null) return null;
    pause(waitMs);
    if (takeOver && failingSinceMs === null) {
      failingSinceMs = state.failingSinceMs ?? at.nowMs;
      onTurned({ is: 'failing', way, why, sinceMs: failingSinceMs, nowMs: at.nowMs });
    } else if (takeOver) onRefused();
    return state;
  }

  /** One that arrives ends a pause: what waits may go now. */
  async function test(letter: Letter): Promise<Sent> {
    while (running !== null) await running;
    const sent = await way.send(letter);
    if (sent.is !== 'sent') return sent;
    await store.proveWay(way.id, nowMs()).catch(trouble);
    if (timer !== null) clearTimeout(timer);
    pausedToMs = null;
    wake();
    return sent;
  }

  return {
    wake,
    test,
    idle: async () => {
      while (running !== null) await running;
    },
    close: async () => {
      closed = true;
      if (timer !== null) clearTimeout(timer);
      await way.close();
      await running;
    },
  };
}
