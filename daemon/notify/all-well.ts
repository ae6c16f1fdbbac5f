/** "All well", told regularly to a watcher outside: where it stays away, the house has died. */
import type { Sent } from './way.ts';
import { postEvent, type Target } from './ways/post-event.ts';

export type AllWellOptions = Target & {
  house: string;
  everyMs: number;
  /** Whether the house can keep readings now, and what it watches. */
  state: () => { ok: boolean; watches: number };
  /** Whether to post also while it is not well. */
  evenIfTroubled: boolean;
  /** Called when it could not be posted, and with null when it was. */
  onTrouble: (error: Error | null) => void;
};

export type AllWell = {
  /** When the watcher last took it, epoch ms; null where it never did. */
  provedAtMs(): number | null;
  close(): void;
};

/** The type of a CloudEvent that says so. */
export const allWellType = 'springhouse.all-well.v1';

/** Begins to post at once; nothing of it is kept, since an old "all well" is worth nothing. */
export function openAllWell(options: AllWellOptions): AllWell {
  const { everyMs, evenIfTroubled, nowMs, onTrouble, state } = options;
  let provedAtMs: number | null = null;
  const closing = new AbortController();

  async function post(): Promise<void> {
    const now = state();
    if (!now.ok && !evenIfTroubled) return;
    const sent = await postEvent(options, eventOf(options, now), closing.signal);
    if (closing.signal.aborted) return;
    if (sent.is === 'sent') provedAtMs = nowMs();
    onTrouble(sent.is === 'sent' ? null : troubleOf(options.url, sent));
  }

  void post();
  const timer = setInterval(() => void post(), everyMs);
  return {
    provedAtMs: () => provedAtMs,
    close: () => {
      clearInterval(timer);
      closing.abort();
    },
  };
}

function eventOf({ house, nowMs }: AllWellOptions, now: { ok: boolean; watches: number }) {
  const atMs = nowMs();
  return {
    id: `all-well-${atMs}`,
    source: `/springhouse/${house}`,
    type: allWellType,
    time: new Date(atMs).toISOString(),
    data: { v: 1, house, atMs, ...now },
  };
}

function troubleOf(url: string, sent: Exclude<Sent, { is: 'sent' }>): Error {
  return new Error(
    `WATCHER_AWAY: the watcher at ${new URL(url).host} must take "all well", got ${sent.why}. It may now say that the house is dead.`,
  );
}
