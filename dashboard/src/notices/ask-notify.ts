/** Questions about how the house speaks up. */

import type { LetterLine, MatterView, WaysView, WayTested } from '../../../shared/contract/notify.ts';

const answerWithinMs = 20_000;

/** What the house answers of its voice; null where it does not. */
export type Voice = { ways: WaysView; matters: readonly MatterView[] };

/** Asks for the ways and the open matters; null where the house does not answer. */
export async function askVoice(): Promise<Voice | null> {
  const [ways, matters] = await Promise.all([
    ask<WaysView>('api/ways'),
    ask<{ matters: MatterView[] }>('api/matters'),
  ]);
  return ways === null || matters === null ? null : { ways, matters: matters.matters };
}

/** Asks for the newest lines of the journal; null where the house does not answer. */
export async function askLetters(): Promise<readonly LetterLine[] | null> {
  return (await ask<{ letters: LetterLine[] }>('api/letters?limit=50'))?.letters ?? null;
}

/** Sends a test by a way. */
export async function testWay(id: string): Promise<WayTested | null> {
  return ask<WayTested>(`api/ways/${encodeURIComponent(id)}/test`, { v: 1 });
}

/** Says that this page has sounded for a letter. */
export async function sayHeard(id: string): Promise<void> {
  await ask('api/letters/heard', { v: 1, id });
}

async function ask<Answer>(address: string, body?: object): Promise<Answer | null> {
  const posted =
    body === undefined
      ? {}
      : { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) };
  try {
    const signal = AbortSignal.timeout(answerWithinMs);
    const answer = await fetch(address, { cache: 'no-store', signal, ...posted });
    return answer.ok ? ((await answer.json()) as Answer) : null;
  } catch {
    return null;
  }
}
