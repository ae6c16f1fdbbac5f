/** Keeps the page's state in step with the house: lists first, then the live feed, then histories. */

import type { LiveValue, WatchView } from '../../../shared/contract/api.ts';
import type { RecordEvent } from '../../../shared/contract/event.ts';
import { askHistory, askLists } from './ask.ts';
import type { HouseInput } from './house-state.ts';

const checkEveryMs = 2000;

/** After so long without a message the lists are asked for: a line that is dead may not say so. */
const quietAfterMs = 8000;

/** A feed that the browser has given up is opened again after this. */
const reopenAfterMs = 4000;

/** Histories of watched probes are asked for again this often, for readings that came late. */
const historyAgainMs = 300_000;

/** How much of the time before a watch is shown of its probe. */
const historyLeadMs = 120_000;

export type Connection = {
  /** Asks for the history of each watch's probe where it is missing or old. Returns at once. */
  wantHistories(watches: readonly WatchView[], houseNowMs: number): void;
  /** Ends the feed and all asking. */
  close(): void;
};

/** Opens the connection; `take` gets every message, in the order in which they came. */
export function openConnection(take: (input: HouseInput) => void): Connection {
  let feed: EventSource | null = null;
  let closedAtMs = 0;
  let heardMs = 0;
  let asking = false;
  const askedHistoryMs = new Map<string, number>();

  async function refresh(): Promise<void> {
    if (asking) return;
    asking = true;
    try {
      const lists = await askLists();
      heardMs = lists.takenMs;
      take({ kind: 'lists', ...lists });
      if (feed === null) openFeed(lists.house.recordSeq);
    } catch {
      // The check asks again; a house that stays quiet is shown as lost.
    } finally {
      asking = false;
    }
  }

  function openFeed(afterSeq: number): void {
    const opened = new EventSource(`api/live?after=${afterSeq}`);
    feed = opened;
    // What changed between the lists and the feed is in neither, so the lists are asked for once more;
    // after a break the histories are too.
    opened.addEventListener('open', () => {
      askedHistoryMs.clear();
      void refresh();
    });
    opened.addEventListener('value', (message) => {
      heardMs = Date.now();
      take({ kind: 'value', takenMs: heardMs, value: JSON.parse(message.data) as LiveValue });
    });
    opened.addEventListener('record', (message) => {
      heardMs = Date.now();
      take({ kind: 'record', takenMs: heardMs, event: JSON.parse(message.data) as RecordEvent });
    });
  }

  function check(): void {
    const nowMs = Date.now();
    if (feed?.readyState === EventSource.CLOSED) {
      feed.close();
      feed = null;
      closedAtMs = nowMs;
    }
    const quiet = nowMs - heardMs > quietAfterMs;
    const reopen = feed === null && nowMs - closedAtMs > reopenAfterMs;
    if (quiet || reopen) void refresh();
  }

  async function refreshHistory(probe: string, span: { fromMs: number; toMs: number }): Promise<void> {
    try {
      take({ kind: 'history', takenMs: Date.now(), history: await askHistory(probe, span) });
    } catch {
      askedHistoryMs.delete(probe);
    }
  }

  const timer = setInterval(check, checkEveryMs);
  void refresh();

  return {
    wantHistories(watches, houseNowMs) {
      for (const { probe, sinceMs, window } of watches) {
        const asked = askedHistoryMs.get(probe);
        if (asked !== undefined && houseNowMs - asked < historyAgainMs) continue;
        askedHistoryMs.set(probe, houseNowMs);
        const fromMs = Math.min(sinceMs, window.originMs) - historyLeadMs;
        void refreshHistory(probe, { fromMs, toMs: houseNowMs });
      }
    },
    close() {
      clearInterval(timer);
      feed?.close();
    },
  };
}
