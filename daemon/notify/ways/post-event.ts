/** Posts a CloudEvent (CloudEvents 1.0, structured JSON over HTTP), signed where there is a key. */
import { type Sent, sendMsMax, whyOf } from '../way.ts';
import { signedHeaders } from './webhook-signature.ts';

/** A CloudEvent before it is posted; `source` and `id` together name it once. */
export type CloudEvent = {
  id: string;
  source: string;
  type: string;
  time: string;
  subject?: string;
  data: object;
};

export type Target = {
  url: string;
  /** Null leaves the call unsigned. */
  key: Buffer | null;
  /** Epoch ms, for the signature's timestamp. */
  nowMs: () => number;
};

/** Posts and says whether the far end took it: any 2xx. A 410 or 413 means that it never will. */
export async function postEvent(target: Target, event: CloudEvent, signal?: AbortSignal): Promise<Sent> {
  const body = JSON.stringify({ specversion: '1.0', datacontenttype: 'application/json', ...event });
  const signed =
    target.key === null ? {} : signedHeaders(target.key, { id: event.id, atMs: target.nowMs(), body });
  const timeout = AbortSignal.timeout(sendMsMax);
  try {
    const answer = await fetch(target.url, {
      method: 'POST',
      headers: { 'content-type': 'application/cloudevents+json; charset=utf-8', ...signed },
      body,
      // A letter goes where the house file says, and nowhere else.
      redirect: 'manual',
      signal: signal === undefined ? timeout : AbortSignal.any([signal, timeout]),
    });
    await answer.body?.cancel();
    if (answer.ok) return { is: 'sent' };
    const why = `answered ${answer.status}`;
    return answer.status === 410 || answer.status === 413 ? { is: 'refused', why } : { is: 'failed', why };
  } catch (error) {
    return { is: 'failed', why: timeout.aborted ? `no answer within ${sendMsMax / 1000} s` : whyOf(error) };
  }
}
