/** The page as a way: letters go to every page that is open, and one that sounds says so. */
import type { Letter } from '../../../shared/contract/notify.ts';
import type { Sent, Way } from '../way.ts';

export type PageWay = Way & {
  /** Gives each letter from now on to a page, until the returned function is called. */
  subscribe(take: (letter: Letter) => void): () => void;
  /** A page has shown a letter, with sound. False where nobody waits for that. */
  heard(letterId: string): boolean;
  /** The newest letters, oldest first, for a page that opens now. */
  recent(): Letter[];
};

/** How long pages have to say that they sounded. */
export const heardMsMax = 4_000;

/** Letters kept for pages that open later; older ones are in the journal. */
const recentMax = 50;

/**
 * Opens the page's way. A letter arrived where one page says within `heardMsMax` that it has sounded: a page
 * that nobody has touched may not make a sound, so until then another way has to bring it.
 */
export function openPageWay(options: { id: string; heardMs?: number }): PageWay {
  const { id, heardMs = heardMsMax } = options;
  const pages = new Set<(letter: Letter) => void>();
  const waiting = new Map<string, (sent: Sent) => void>();
  const recent: Letter[] = [];
  let closed = false;

  return {
    id,
    kind: 'page',
    leadsTo: 'open pages with their sound on',
    send: (letter) => {
      recent.push(letter);
      if (recent.length > recentMax) recent.shift();
      if (pages.size === 0 || closed) return Promise.resolve({ is: 'refused', why: 'no page is open' });
      return new Promise((resolve) => {
        const end = (sent: Sent): void => {
          clearTimeout(timer);
          waiting.delete(letter.id);
          resolve(sent);
        };
        const timer = setTimeout(end, heardMs, { is: 'refused', why: 'no open page has its sound on' });
        waiting.set(letter.id, end);
        for (const take of pages) take(letter);
      });
    },
    subscribe: (take) => {
      pages.add(take);
      return () => pages.delete(take);
    },
    heard: (letterId) => {
      const settle = waiting.get(letterId);
      settle?.({ is: 'sent' });
      return settle !== undefined;
    },
    recent: () => [...recent],
    close: async () => {
      closed = true;
      for (const end of [...waiting.values()]) end({ is: 'failed', why: 'the house closes' });
    },
  };
}
