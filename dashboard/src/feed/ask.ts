/** Questions to the house over HTTP. Addresses are relative, so the page may stand under any path. */

import type {
  AnyWatchView,
  HistoryView,
  HouseView,
  Notice,
  ProbeView,
  Problem,
} from '../../../shared/contract/api.ts';
import type { PostedWord, Word, WordAnswer } from '../../../shared/contract/word.ts';
import type { Lists } from './house-state.ts';

const answerWithinMs = 8000;

/** How many points of history are asked for: about one for each two pixels of a wide chart. */
const historyPoints = 400;

/** Asks for the four lists at once; rejects where one does not come within 8 s. */
export async function askLists(): Promise<Lists> {
  const askedMs = Date.now();
  const [house, probes, watches, notices] = await Promise.all([
    getJson<HouseView>('api/house'),
    getJson<{ probes: ProbeView[] }>('api/probes'),
    getJson<{ watches: AnyWatchView[] }>('api/watches'),
    getJson<{ notices: Notice[] }>('api/notices'),
  ]);
  return {
    askedMs,
    takenMs: Date.now(),
    house,
    probes: probes.probes,
    watches: watches.watches,
    notices: notices.notices,
  };
}

/** Asks for a probe's history between two instants of the house's clock; rejects as `askLists` does. */
export function askHistory(probe: string, span: { fromMs: number; toMs: number }): Promise<HistoryView> {
  const query = new URLSearchParams({
    from: String(span.fromMs),
    to: String(span.toMs),
    points: String(historyPoints),
  });
  return getJson<HistoryView>(`api/history/${encodeURIComponent(probe)}?${query}`);
}

/** Asks for one JSON answer at an address of the house; rejects where it is refused or does not come within 8 s. */
export function askJson<Answer>(address: string): Promise<Answer> {
  return getJson<Answer>(address);
}

async function getJson<Answer>(address: string): Promise<Answer> {
  const answer = await fetch(address, { cache: 'no-store', signal: AbortSignal.timeout(answerWithinMs) });
  if (!answer.ok) throw new Error(`${address} answered ${answer.status}`);
  return (await answer.json()) as Answer;
}

/** What came of a word: taken by the house, or why not, in words for a person. */
export type Said = { ok: true; already: boolean } | { ok: false; why: string };

/** Makes the id of a word. It stays with the word through every repeat, so that a repeat does nothing. */
export function newWordId(): string {
  // crypto.randomUUID is missing on a page that came over plain HTTP from another machine.
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** Says a word to the house; never rejects. */
export async function sayWord(id: string, word: Word): Promise<Said> {
  const posted: PostedWord = { v: 1, id, word };
  try {
    const answer = await fetch('api/words', {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(posted),
      signal: AbortSignal.timeout(answerWithinMs),
    });
    if (answer.ok) return { ok: true, already: ((await answer.json()) as WordAnswer).already };
    return { ok: false, why: ((await answer.json()) as Problem).message };
  } catch {
    return { ok: false, why: 'The house did not answer.' };
  }
}
