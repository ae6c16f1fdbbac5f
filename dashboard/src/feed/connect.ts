/** Keeps the page's state in step with the house: lists first, then the live feed, then histories. */

import type { LiveValue } from '../../../shared/contract/api.ts';
import type { RecordEvent } from '../../../shared/contract/event.ts';
import { askHistory, askLists } from './ask.ts';
import type { HistoryWish, HouseInput } from './house-state.ts';

const checkEveryMs = 2000;

/** After so long without a message the lists are asked for: a line that is dead may not say so. */
const quietAfterMs = 8000;

/** A feed that the browser has given up is opened again after this. */
const reopenAfterMs = 4000;

/** Histories are asked for again this often, whatever they lack, and no more often than that, however much. */
const historyAgainMs = { most: 300_000, least: 3000 };

export type Connection = {
  /** Asks for the histories that are missing, old, or lack something else than when asked. Returns at once. */
  wantHistories(wishes: readonly HistoryWish[], houseNowMs: number): void;
  /** Ends the feed and all asking. */
  close(): void;
};

/** Opens the connection; `take` gets every message, in the order in which they came. */
export function openConnection(take: (input: HouseInput) => void): Connection {
  let feed: EventSource | null = null;
  let closedAtMs = 0;
  let heardMs = 0;
  let asking = false;
  const asked = new Map<string, { atMs: number; lack: string }>();

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
      asked.clear();
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
      asked.delete(probe);
    }
  }

  const timer = setInterval(check, checkEveryMs);
  void refresh();

  return {
    wantHistories(wishes, houseNowMs) {
      const nowMs = Date.now();
      for (const { fromMs, lack, probe } of wishes) {
        const before = asked.get(probe);
        const againMs = before?.lack === lack ? historyAgainMs.most : historyAgainMs.least;
        if (before !== undefined && nowMs - before.atMs < againMs) continue;
        asked.set(probe, { atMs: nowMs, lack });
        void refreshHistory(probe, { fromMs, toMs: houseNowMs });
      }
    },
    close() {
      clearInterval(timer);
      feed?.close();
    },
  };
}
