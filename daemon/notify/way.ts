/** The port of a way: how a letter leaves the house. */
import type { Letter, WayKind } from '../../shared/contract/notify.ts';

/**
 * What a try came to. `failed` may pass later: the way is tried again and again. `refused` never will for
 * this letter: another way has to bring it. `why` is a few words, without a secret.
 */
export type Sent = { is: 'sent' } | { is: 'failed' | 'refused'; why: string };

/**
 * One way. `send` resolves within `sendMsMax`, never rejects, and says
 * `sent` only where the far end has taken the letter. `close` ends what is under way.
 */
export type Way = {
  readonly id: string;
  readonly kind: WayKind;
  /** Where it leads, in words and without a secret. */
  readonly leadsTo: string;
  send(letter: Letter): Promise<Sent>;
  close(): Promise<void>;
};

/** How long a try may take; then it has failed. */
export const sendMsMax = 10_000;

/** The longest reason that is kept, in characters. */
const whyMax = 200;

/** A failure in few words, of one line. */
export function whyOf(error: unknown): string {
  const cause = error instanceof Error && error.cause instanceof Error ? error.cause : error;
  const text =
    cause instanceof Error ? cause.message || String((cause as NodeJS.ErrnoException).code) : String(cause);
  return text.replace(/\s+/g, ' ').trim().slice(0, whyMax);
}
