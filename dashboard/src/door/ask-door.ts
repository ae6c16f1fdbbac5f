/** What the page asks of the door. Nothing here rejects: an answer that does not come is null. */
import type { Problem } from '../../../shared/contract/api.ts';
import type { DoorView, PairingView, PersonView } from '../../../shared/contract/door.ts';

const answerWithinMs = 15_000;

/** The answer to a post, or why there is none, in words for a person. */
export type Posted<Answer> = { ok: true; answer: Answer } | { ok: false; why: string };

/** Asks how the door stands; null where the house does not say. */
export async function askDoor(): Promise<DoorView | null> {
  return getOrNull<DoorView>('api/door');
}

/** Asks who may come in; null where that cannot be had. */
export async function askPeople(): Promise<readonly PersonView[] | null> {
  return (await getOrNull<{ people: PersonView[] }>('api/people'))?.people ?? null;
}

export function pair(asked: { code: string; name: string; password: string }): Promise<Posted<DoorView>> {
  return post('api/door/pair', asked);
}

export function signIn(asked: { name: string; password: string }): Promise<Posted<DoorView>> {
  return post('api/door/sign-in', asked);
}

export function signOut(): Promise<Posted<object>> {
  return post('api/door/sign-out', {});
}

export function makeCode(): Promise<Posted<PairingView>> {
  return post('api/people/code', {});
}

export function endSession(session: string): Promise<Posted<object>> {
  return post('api/people/end-session', { session });
}

export function removePerson(person: string): Promise<Posted<object>> {
  return post('api/people/remove', { person });
}

async function getOrNull<Answer>(address: string): Promise<Answer | null> {
  try {
    const answer = await fetch(address, { cache: 'no-store', signal: AbortSignal.timeout(answerWithinMs) });
    return answer.ok ? ((await answer.json()) as Answer) : null;
  } catch {
    return null;
  }
}

async function post<Answer>(address: string, asked: object): Promise<Posted<Answer>> {
  try {
    const answer = await fetch(address, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ v: 1, ...asked }),
      signal: AbortSignal.timeout(answerWithinMs),
    });
    if (answer.ok) return { ok: true, answer: (await answer.json()) as Answer };
    return { ok: false, why: ((await answer.json()) as Problem).message };
  } catch {
    return { ok: false, why: 'The house did not answer. Try again.' };
  }
}
