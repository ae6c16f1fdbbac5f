import { createHash } from 'node:crypto';
import type { Letter } from '../../../shared/contract/notify.ts';
import type { Way } from '../way.ts';
import { type CloudEvent, postEvent, type Target } from './post-event.ts';

/** The type of a CloudEvent that carries a letter. */
export const letterType = 'springhouse.letter.v1';

export type WebhookOptions = Target & { id: string };

/** Opens a way that posts each letter as a signed CloudEvent; the same id again is the same letter. */
export function openWebhookWay({ id, ...target }: WebhookOptions): Way {
  const closing = new AbortController();
  return {
    id,
    kind: 'webhook',
    leadsTo: new URL(target.url).host,
    send: (letter) => postEvent(target, letterEvent(letter), closing.signal),
    close: async () => closing.abort(),
  };
}

/** A letter as a CloudEvent. Its id has no dot, which parts the fields that a signature covers. */
export function letterEvent(letter: Letter): CloudEvent {
  return {
    id: callId(letter),
    source: `/springhouse/${letter.house}`,
    type: letterType,
    time: new Date(letter.madeAtMs).toISOString(),
    ...(letter.matter === null ? {} : { subject: letter.matter }),
    data: letter,
  };
}

/** One id for a letter to one receiver, the same at every try. */
export function callId({ id, receiver, house }: Pick<Letter, 'id' | 'receiver' | 'house'>): string {
  const digest = createHash('sha256')
    .update(JSON.stringify([house, receiver, id]))
    .digest('hex');
  return `letter_${digest.slice(0, 32)}`;
}
